#include "model/ground/sensor_errors.hpp"

namespace ampturn::model::ground {

TensorVariance sensor_variance(const ImpedanceTensor& z, std::complex<double> tipper_x,
                               std::complex<double> tipper_y, const SensorErrors& errors) {
    const double gain = 2 * errors.gain_rel * errors.gain_rel;  // real and imaginary part
    const double turn = errors.azimuth_rad * errors.azimuth_rad;
    const double level = errors.level_rad * errors.level_rad;
    const double xx = std::norm(z.xx_ohm), xy = std::norm(z.xy_ohm), yx = std::norm(z.yx_ohm),
                 yy = std::norm(z.yy_ohm), tx = std::norm(tipper_x), ty = std::norm(tipper_y);
    // E's sensor and H's: each element's own gains, its neighbours by turning, and the row times the tipper.
    return {.xx = 2 * gain * xx + turn * (yx + xy) + level * tx * (xx + xy),
            .xy = 2 * gain * xy + turn * (yy + xx) + level * ty * (xx + xy),
            .yx = 2 * gain * yx + turn * (xx + yy) + level * tx * (yx + yy),
            .yy = 2 * gain * yy + turn * (xy + yx) + level * ty * (yx + yy)};
}

Tipper tipper_of(const HorizontalFields& a, std::complex<double> hz_a, const HorizontalFields& b,
                 std::complex<double> hz_b) {
    const std::complex<double> determinant = a.hx_a_per_m * b.hy_a_per_m - b.hx_a_per_m * a.hy_a_per_m;
    return {(hz_a * b.hy_a_per_m - hz_b * a.hy_a_per_m) / determinant,
            (hz_b * a.hx_a_per_m - hz_a * b.hx_a_per_m) / determinant};
}

}  // namespace ampturn::model::ground
