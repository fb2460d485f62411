#include "scheduler/reading/place_reading.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/base/constants.hpp"
#include "scheduler/reading/reading_quality.hpp"

namespace ampturn::reading {

namespace {

using Complex = std::complex<double>;

constexpr double infinite = std::numeric_limits<double>::infinity();

/// Fields are far from where a product could overflow; the library's guards against it cost most of the time.
Complex product(Complex a, Complex b) {
    return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

}  // namespace

PlaceTargets::PlaceTargets(const plan::Targets& targets, Complex plane_impedance_ohm)
    : targets_(targets),
      plane_ohm_(plane_impedance_ohm),
      plane_norm_ohm2_(std::norm(plane_impedance_ohm)),
      relative_variance_allowed_(relative_variance_allowed(targets)) {}

PlaceReading::PlaceReading(const ReadingInput& input, const PlaceTargets& targets) : targets_(targets) {
    both_sent_ = input.no_record == NoRecord::none && input.sent_a.sent() && input.sent_b.sent();
    const double moment_a = both_sent_ ? input.sent_a.moment_a_m2_peak : 1,
                 moment_b = both_sent_ ? input.sent_b.moment_a_m2_peak : 1;
    const auto &a = input.a.horizontal, &b = input.b.horizontal;
    // [Hx of A, Hx of B; Hy of A, Hy of B] of unit moments: a tensor is there unless they are parallel (tensor.hpp).
    const Complex determinant = product(a.hx_a_per_m, b.hy_a_per_m) - product(b.hx_a_per_m, a.hy_a_per_m);
    const double frobenius = moment_a * moment_a * (std::norm(a.hx_a_per_m) + std::norm(a.hy_a_per_m)) +
                             moment_b * moment_b * (std::norm(b.hx_a_per_m) + std::norm(b.hy_a_per_m));
    const double norm = std::norm(determinant);
    const double t = frobenius / (2 * moment_a * moment_b * std::sqrt(norm));
    if (!(t + std::sqrt(std::max(0.0, t * t - 1)) < 1e12)) return;
    tensor_ = true;
    const Complex over(determinant.real() / norm, -determinant.imag() / norm);
    const Complex ax = product(b.hy_a_per_m, over), ay = -product(b.hx_a_per_m, over),
                  bx = -product(a.hy_a_per_m, over), by = product(a.hx_a_per_m, over);
    const auto element = [&](Complex e_a, Complex e_b, Complex h_a, Complex h_b) {
        return product(product(e_a, h_a) + product(e_b, h_b), input.wire_response);
    };
    xy_ohm_ = element(a.ex_v_per_m, b.ex_v_per_m, ay, by);
    yx_ohm_ = element(a.ey_v_per_m, b.ey_v_per_m, ax, bx);
    if (!both_sent_) return;
    const model::ground::ImpedanceTensor z{.xx_ohm = element(a.ex_v_per_m, b.ex_v_per_m, ax, bx),
                                           .xy_ohm = xy_ohm_,
                                           .yx_ohm = yx_ohm_,
                                           .yy_ohm = element(a.ey_v_per_m, b.ey_v_per_m, ay, by)};
    const Complex tipper_x = product(input.a.hz_a_per_m, ax) + product(input.b.hz_a_per_m, bx),
                  tipper_y = product(input.a.hz_a_per_m, ay) + product(input.b.hz_a_per_m, by);
    const model::ground::TensorVariance sensors =
        model::ground::sensor_variance(z, tipper_x, tipper_y, input.sensors);
    // Variance of an amplitude over the density (amplitude_variance), over the moment squared.
    const double of_a = amplitude_variance(1, input.window_enbw_bins, input.sent_a.dwell_s) /
                        (moment_a * moment_a),
                 of_b = amplitude_variance(1, input.window_enbw_bins, input.sent_b.dwell_s) /
                        (moment_b * moment_b);
    const double column_x = std::norm(ax) * of_a + std::norm(bx) * of_b,
                 column_y = std::norm(ay) * of_a + std::norm(by) * of_b;
    const auto add = [&](double column, bool north, double sensor, double magnitude2) {
        elements_[count_++] = {north,
                               column,
                               column * std::norm(north ? z.xx_ohm : z.yx_ohm),
                               column * std::norm(north ? z.xy_ohm : z.yy_ohm),
                               sensor,
                               targets_.relative_variance_allowed_ * magnitude2};
    };
    for (const plan::Element wanted : targets.targets_.elements) switch (wanted) {
            case plan::Element::xx:
                add(column_x, true, sensors.xx, targets.plane_norm_ohm2_);
                break;
            case plan::Element::xy:
                add(column_y, true, sensors.xy, std::norm(z.xy_ohm));
                break;
            case plan::Element::yx:
                add(column_x, false, sensors.yx, std::norm(z.yx_ohm));
                break;
            case plan::Element::yy:
                add(column_y, false, sensors.yy, targets.plane_norm_ohm2_);
                break;
        }
}

double PlaceReading::bias_ratio() const {
    if (!tensor_) return infinite;
    const plan::Targets& targets = targets_.targets_;
    double worst = 0;
    const auto count = [&](Complex z) {
        const Complex over_plane = product(z, std::conj(targets_.plane_ohm_));
        const double resistivity = std::norm(z) / targets_.plane_norm_ohm2_ - 1;
        const double phase_deg = std::atan2(over_plane.imag(), over_plane.real()) * 180 / model::pi;
        worst = std::max({worst, 100 * std::fabs(resistivity) / targets.rho_bias_percent,
                          std::fabs(phase_deg) / targets.phase_bias_deg});
    };
    for (const plan::Element element : targets.elements) {
        if (element == plan::Element::xy) count(xy_ohm_);
        if (element == plan::Element::yx) count(-yx_ohm_);
    }
    return worst;
}

double PlaceReading::error_ratio(const model::receiver::NoiseAt& noise) const {
    if (!tensor_ || !both_sent_) return infinite;
    double worst = 0;
    for (std::size_t i = 0; i < count_; ++i) {
        const Element& x = elements_[i];
        worst = std::max(worst, (x.variance(noise) + x.sensors) / x.allowed);
    }
    return std::sqrt(worst);
}

double PlaceReading::needed_moment_factor(const model::receiver::NoiseAt& noise) const {
    if (!tensor_ || !both_sent_) return infinite;
    double worst = 0;
    for (std::size_t i = 0; i < count_; ++i) {
        const Element& x = elements_[i];
        const double left = x.allowed - x.sensors;
        worst = std::max(worst, left > 0 ? x.variance(noise) / left : infinite);
    }
    return std::sqrt(worst);
}

}  // namespace ampturn::reading
