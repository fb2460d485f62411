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

ImpedanceTensor recorded_by(const SensorsOff& s, const ImpedanceTensor& z, const Tipper& tipper) {
    using Complex = std::complex<double>;
    // H' = G H
    const Complex gxx = s.gain[2] + s.off_level_rad[0] * tipper.x,
                  gxy = s.turned_rad[2] + s.off_level_rad[0] * tipper.y,
                  gyx = s.turned_rad[3] + s.off_level_rad[1] * tipper.x,
                  gyy = s.gain[3] + s.off_level_rad[1] * tipper.y;
    const Complex determinant = gxx * gyy - gxy * gyx;
    const auto row = [&](Complex of_x, Complex of_y, Complex& out_x, Complex& out_y) {
        out_x = (of_x * gyy - of_y * gyx) / determinant;
        out_y = (of_y * gxx - of_x * gxy) / determinant;
    };
    ImpedanceTensor out{};
    row(s.gain[0] * z.xx_ohm + s.turned_rad[0] * z.yx_ohm, s.gain[0] * z.xy_ohm + s.turned_rad[0] * z.yy_ohm,
        out.xx_ohm, out.xy_ohm);
    row(s.gain[1] * z.yx_ohm + s.turned_rad[1] * z.xx_ohm, s.gain[1] * z.yy_ohm + s.turned_rad[1] * z.xy_ohm,
        out.yx_ohm, out.yy_ohm);
    return out;
}

}  // namespace ampturn::model::ground
