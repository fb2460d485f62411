#include "model/ground/tensor.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "model/base/constants.hpp"
#include "tests/outside_check.hpp"
#include "tests/reference_csv.hpp"

namespace tensor_test {

using namespace ampturn::model;
using namespace ampturn::model::ground;
using Complex = std::complex<double>;

constexpr double deg = std::numbers::pi / 180;

/// Fields of a plane wave whose magnetic field points to `azimuth`, over ground of
/// impedance z: Ex = z Hy, Ey = -z Hx.
HorizontalFields plane_wave(double azimuth_rad, Complex z) {
    const Complex hx = std::cos(azimuth_rad), hy = std::sin(azimuth_rad);
    return {.ex_v_per_m = z * hy, .ey_v_per_m = -z * hx, .hx_a_per_m = hx, .hy_a_per_m = hy};
}

TEST(Tensor, OfTwoPlaneWavesIsTheGroundsImpedance) {
    const Complex z = std::polar(2.0, 45 * deg);
    const TensorEstimate t = estimate_tensor(plane_wave(0.3, z), plane_wave(1.7, z), {}, {});
    EXPECT_NEAR(std::abs(t.impedance.xy_ohm - z), 0, 1e-14);
    EXPECT_NEAR(std::abs(t.impedance.yx_ohm + z), 0, 1e-14);
    EXPECT_NEAR(std::abs(t.impedance.xx_ohm), 0, 1e-14);
    EXPECT_NEAR(std::abs(t.impedance.yy_ohm), 0, 1e-14);
    const SoundingPoint xy = sounding_xy(t, 100), yx = sounding_yx(t, 100);
    EXPECT_NEAR(xy.phase_deg, 45, 1e-12);
    EXPECT_NEAR(yx.phase_deg, 45, 1e-12);
    EXPECT_NEAR(xy.apparent_resistivity_ohm_m, 4 / (2 * pi * 100 * mu0_h_per_m), 1e-9)
        << "closed form |Z|^2/(omega mu0)";
}

TEST(Tensor, RefusesParallelFields) {
    EXPECT_THROW(estimate_tensor(plane_wave(1, 1), plane_wave(1, 1), {}, {}), std::domain_error);
}

TEST(Tensor, LoopAngleCostsWhatTheReferenceTableSays) {
    // Closed form: the formulas at the head of the table.
    const ReferenceCsv table("field/loop_orthogonality.csv", 12);
    ampturn::test::OutsideCheck check("cost of loops off right angles",
                                      "tests/reference/field/loop_orthogonality.csv: closed forms",
                                      "of the condition number");
    const Complex z = std::polar(1.0, 45 * deg);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double alpha = table.number(i, "alpha_deg") * deg;
        const HorizontalVariance electric_noise{.ex = 1, .ey = 1, .hx = 0, .hy = 0};
        // Worst direction: the eigenvector of the covariance. With loops at +-alpha/2 about the axes'
        // bisector it lies on an axis.
        const auto t = estimate_tensor(plane_wave(alpha / 2, z), plane_wave(-alpha / 2, z), electric_noise,
                                       electric_noise);
        const auto right_angle = estimate_tensor(plane_wave(45 * deg, z), plane_wave(-45 * deg, z),
                                                 electric_noise, electric_noise);
        const std::string angle = table.text(i, "alpha_deg") + " degrees";
        const double noise =
            std::sqrt(std::max(t.variance.xy, t.variance.yx * 1.0) / right_angle.variance.xy);
        check.error(
            std::abs(t.h_condition_number - table.number(i, "condition_number")) / t.h_condition_number, 1e-3,
            "condition number at " + angle);
        check.error(std::abs(noise - table.number(i, "noise_amplification")) / t.h_condition_number, 1e-3,
                    "noise at " + angle);
    }
}

TEST(Tensor, PredictedErrorBarsAreTheScatterOfNoisyEstimates) {
    // Independent: Monte Carlo. Small errors, so that first order holds; 4000 draws give the scatter to
    // 1/sqrt(8000) = 1.1 %.
    const Complex z = std::polar(3.0, 30 * deg);
    const HorizontalFields a = plane_wave(0.2, z), b = plane_wave(1.3, z);
    const HorizontalVariance va{1e-4, 2e-4, 3e-5, 1e-5}, vb{2e-4, 1e-4, 1e-5, 2e-5};
    const TensorEstimate predicted = estimate_tensor(a, b, va, vb);
    const SoundingPoint bars = sounding_xy(predicted, 1000);
    std::mt19937 random(11);
    std::normal_distribution<double> normal;
    const auto noisy = [&](const HorizontalFields& f, const HorizontalVariance& v) {
        const auto n = [&](double variance) {
            const double s = std::sqrt(variance / 2);
            return Complex(s * normal(random), s * normal(random));
        };
        return HorizontalFields{f.ex_v_per_m + n(v.ex), f.ey_v_per_m + n(v.ey), f.hx_a_per_m + n(v.hx),
                                f.hy_a_per_m + n(v.hy)};
    };
    constexpr int draws = 4000;
    double rho2 = 0, phase2 = 0, yx2 = 0;
    const double rho = sounding_xy(predicted, 1000).apparent_resistivity_ohm_m;
    for (int i = 0; i < draws; ++i) {
        const TensorEstimate t = estimate_tensor(noisy(a, va), noisy(b, vb), va, vb);
        const SoundingPoint p = sounding_xy(t, 1000);
        rho2 += std::pow(p.apparent_resistivity_ohm_m / rho - 1, 2);
        phase2 += std::pow(p.phase_deg - 30, 2);
        yx2 += std::norm(t.impedance.yx_ohm + z);
    }
    EXPECT_NEAR(std::sqrt(rho2 / draws) / bars.resistivity_sd_rel, 1, 0.05);
    EXPECT_NEAR(std::sqrt(phase2 / draws) / bars.phase_sd_deg, 1, 0.05);
    EXPECT_NEAR(std::sqrt(yx2 / draws / predicted.variance.yx), 1, 0.05);
}

TEST(Zone, FollowsToleranceAndFiftyPerCent) {
    const BiasTolerance tolerance;
    EXPECT_EQ(zone_of({0.04, -1.9}, tolerance), Zone::far_field);
    EXPECT_EQ(zone_of({-0.06, 0}, tolerance), Zone::transition);
    EXPECT_EQ(zone_of({0, 2.1}, tolerance), Zone::transition);
    EXPECT_EQ(zone_of({0.51, 0}, tolerance), Zone::near_field);
    EXPECT_EQ(zone_of({-0.9, 40}, tolerance), Zone::near_field);
    EXPECT_EQ(zone_of({-0.35, 38}, tolerance), Zone::near_field) << "definition: the phase is 38 degrees off";
    EXPECT_EQ(zone_of({0.01, -14.9}, tolerance), Zone::transition);
}

TEST(PlaneWaveBias, WrapsPhase) {
    // Definition: from 170 to -170 degrees it is 20 degrees onwards.
    const SoundingPoint point{
        .apparent_resistivity_ohm_m = 1, .phase_deg = -170, .resistivity_sd_rel = 0, .phase_sd_deg = 0};
    EXPECT_NEAR(plane_wave_bias(point, std::polar(1.0, 170 * deg), 1).phase_deg, 20, 1e-9);
}

}  // namespace tensor_test
