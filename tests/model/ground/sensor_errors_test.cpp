#include "model/ground/sensor_errors.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <random>

namespace sensor_errors_test {

using namespace ampturn::model::ground;
using Complex = std::complex<double>;

TEST(SensorErrors, AreTheScatterOfTensorsOfWrongSensors) {
    // Independent: Monte Carlo over gains, turned sensors and coils off level; 20 000 draws give a variance to 1 %.
    const HorizontalFields a{
        .ex_v_per_m = {1, 2}, .ey_v_per_m = {-3, 0.5}, .hx_a_per_m = {1, 0.2}, .hy_a_per_m = {0.3, -0.1}},
        b{.ex_v_per_m = {2, -1},
          .ey_v_per_m = {0.4, 0.6},
          .hx_a_per_m = {-0.2, 0.1},
          .hy_a_per_m = {0.9, 0.3}};
    const Complex hz_a{0.5, 0.1}, hz_b{-0.2, 0.4};
    const SensorErrors errors{.gain_rel = 0.002, .azimuth_rad = 0.003, .level_rad = 0.004};
    const ImpedanceTensor z = estimate_tensor(a, b, {}, {}).impedance;
    const Tipper tipper = tipper_of(a, hz_a, b, hz_b);
    EXPECT_LT(std::abs(tipper.x * a.hx_a_per_m + tipper.y * a.hy_a_per_m - hz_a), 1e-12) << "definition";
    const TensorVariance predicted = sensor_variance(z, tipper.x, tipper.y, errors);
    std::mt19937 random(5);
    std::normal_distribution<double> normal;
    TensorVariance sum{};
    constexpr int draws = 20'000;
    for (int n = 0; n < draws; ++n) {
        const auto gain = [&] { return 1.0 + errors.gain_rel * Complex(normal(random), normal(random)); };
        SensorsOff off;
        for (Complex& g : off.gain) g = gain();
        for (double& t : off.turned_rad) t = errors.azimuth_rad * normal(random);
        for (double& l : off.off_level_rad) l = errors.level_rad * normal(random);
        const auto wrong = [&](const HorizontalFields& f, Complex hz) {
            return HorizontalFields{
                off.gain[0] * f.ex_v_per_m + off.turned_rad[0] * f.ey_v_per_m,
                off.gain[1] * f.ey_v_per_m + off.turned_rad[1] * f.ex_v_per_m,
                off.gain[2] * f.hx_a_per_m + off.turned_rad[2] * f.hy_a_per_m + off.off_level_rad[0] * hz,
                off.gain[3] * f.hy_a_per_m + off.turned_rad[3] * f.hx_a_per_m + off.off_level_rad[1] * hz};
        };
        const ImpedanceTensor t = estimate_tensor(wrong(a, hz_a), wrong(b, hz_b), {}, {}).impedance;
        if (n < 20) {
            const ImpedanceTensor direct = recorded_by(off, z, tipper);
            EXPECT_LT(std::abs(direct.xx_ohm - t.xx_ohm) + std::abs(direct.xy_ohm - t.xy_ohm) +
                          std::abs(direct.yx_ohm - t.yx_ohm) + std::abs(direct.yy_ohm - t.yy_ohm),
                      1e-12)
                << "identity: sensors before and after the tensor is found";
        }
        sum.xx += std::norm(t.xx_ohm - z.xx_ohm) / draws;
        sum.xy += std::norm(t.xy_ohm - z.xy_ohm) / draws;
        sum.yx += std::norm(t.yx_ohm - z.yx_ohm) / draws;
        sum.yy += std::norm(t.yy_ohm - z.yy_ohm) / draws;
    }
    EXPECT_NEAR(sum.xx / predicted.xx, 1, 0.05);
    EXPECT_NEAR(sum.xy / predicted.xy, 1, 0.05);
    EXPECT_NEAR(sum.yx / predicted.yx, 1, 0.05);
    EXPECT_NEAR(sum.yy / predicted.yy, 1, 0.05);
}

}  // namespace sensor_errors_test
