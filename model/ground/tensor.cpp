#include "model/ground/tensor.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/base/constants.hpp"

namespace ampturn::model::ground {
namespace {

using Complex = std::complex<double>;

/// Ratio of the singular values of [[a, b], [c, d]]; closed form from the Frobenius norm and the determinant.
double condition_number(Complex a, Complex b, Complex c, Complex d) {
    const double frobenius2 = std::norm(a) + std::norm(b) + std::norm(c) + std::norm(d);
    const double determinant = std::abs(a * d - b * c);
    if (!(determinant > 0)) return HUGE_VAL;
    const double t = frobenius2 / (2 * determinant);  // (k + 1/k) / 2
    return t + std::sqrt(std::max(0.0, t * t - 1));
}

SoundingPoint sounding(Complex z, double variance, double frequency_hz) {
    const double magnitude = std::abs(z);
    const double relative = std::sqrt(variance) / magnitude;
    return {.apparent_resistivity_ohm_m = magnitude * magnitude / (2 * pi * frequency_hz * mu0_h_per_m),
            .phase_deg = std::arg(z) * 180 / pi,
            .resistivity_sd_rel = std::sqrt(2.0) * relative,
            .phase_sd_deg = relative / std::sqrt(2.0) * 180 / pi};
}

}  // namespace

TensorEstimate estimate_tensor(const HorizontalFields& a, const HorizontalFields& b,
                               const HorizontalVariance& variance_a, const HorizontalVariance& variance_b) {
    const double condition = condition_number(a.hx_a_per_m, b.hx_a_per_m, a.hy_a_per_m, b.hy_a_per_m);
    if (!(condition < 1e12))
        throw std::domain_error("the two loops give parallel magnetic fields: no tensor");
    const Complex determinant = a.hx_a_per_m * b.hy_a_per_m - b.hx_a_per_m * a.hy_a_per_m;
    // Rows of H^-1: polarisation A, polarisation B; columns: Hx, Hy.
    const Complex ax = b.hy_a_per_m / determinant, ay = -b.hx_a_per_m / determinant;
    const Complex bx = -a.hy_a_per_m / determinant, by = a.hx_a_per_m / determinant;
    const ImpedanceTensor z{.xx_ohm = a.ex_v_per_m * ax + b.ex_v_per_m * bx,
                            .xy_ohm = a.ex_v_per_m * ay + b.ex_v_per_m * by,
                            .yx_ohm = a.ey_v_per_m * ax + b.ey_v_per_m * bx,
                            .yy_ohm = a.ey_v_per_m * ay + b.ey_v_per_m * by};
    const auto residual = [](double e, Complex zx, Complex zy, const HorizontalVariance& v) {
        return e + std::norm(zx) * v.hx + std::norm(zy) * v.hy;
    };
    const double x_a = residual(variance_a.ex, z.xx_ohm, z.xy_ohm, variance_a);
    const double x_b = residual(variance_b.ex, z.xx_ohm, z.xy_ohm, variance_b);
    const double y_a = residual(variance_a.ey, z.yx_ohm, z.yy_ohm, variance_a);
    const double y_b = residual(variance_b.ey, z.yx_ohm, z.yy_ohm, variance_b);
    return {.impedance = z,
            .variance = {.xx = std::norm(ax) * x_a + std::norm(bx) * x_b,
                         .xy = std::norm(ay) * x_a + std::norm(by) * x_b,
                         .yx = std::norm(ax) * y_a + std::norm(bx) * y_b,
                         .yy = std::norm(ay) * y_a + std::norm(by) * y_b},
            .h_condition_number = condition};
}

SoundingPoint sounding_xy(const TensorEstimate& estimate, double frequency_hz) {
    return sounding(estimate.impedance.xy_ohm, estimate.variance.xy, frequency_hz);
}

SoundingPoint sounding_yx(const TensorEstimate& estimate, double frequency_hz) {
    return sounding(-estimate.impedance.yx_ohm, estimate.variance.yx, frequency_hz);
}

PlaneWaveBias plane_wave_bias(const SoundingPoint& with_source, std::complex<double> plane_wave_impedance_ohm,
                              double frequency_hz) {
    const SoundingPoint truth = sounding(plane_wave_impedance_ohm, 0, frequency_hz);
    const double phase_difference_deg = with_source.phase_deg - truth.phase_deg;
    return {.resistivity_rel = with_source.apparent_resistivity_ohm_m / truth.apparent_resistivity_ohm_m - 1,
            .phase_deg = phase_difference_deg - 360 * std::ceil((phase_difference_deg - 180) / 360)};
}

Zone zone_of(const PlaneWaveBias& bias, const BiasTolerance& tolerance) {
    if (std::abs(bias.resistivity_rel) > tolerance.near_resistivity_rel ||
        std::abs(bias.phase_deg) > tolerance.near_phase_deg)
        return Zone::near_field;
    const bool inside = std::abs(bias.resistivity_rel) <= tolerance.resistivity_rel &&
                        std::abs(bias.phase_deg) <= tolerance.phase_deg;
    return inside ? Zone::far_field : Zone::transition;
}

}  // namespace ampturn::model::ground
