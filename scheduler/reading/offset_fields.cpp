#include "scheduler/reading/offset_fields.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"
#include "model/ground/plane_wave.hpp"

namespace ampturn::reading {

namespace {

constexpr double offset_ratio = 1.05;
constexpr std::size_t points = 6;  // of the Lagrange interpolation

double radians(double degrees) { return degrees * model::pi / 180; }

}  // namespace

OffsetFields::OffsetFields(const model::ground::LayeredEarth& earth, double frequency_hz, double height_a_m,
                           double height_b_m, double offset_min_m, double offset_max_m)
    : frequency_hz_(frequency_hz),
      log_first_(std::log(offset_min_m)),
      plane_impedance_ohm_(model::ground::plane_wave_impedance_ohm(earth, frequency_hz)) {
    if (!(offset_min_m >= 1 && offset_max_m > offset_min_m))
        throw std::invalid_argument("offsets: the first at least 1 m, the last beyond the first");
    const double span = std::log(offset_max_m) - log_first_;
    const std::size_t count =
        std::max(points, static_cast<std::size_t>(std::ceil(span / std::log(offset_ratio))) + 1);
    log_step_ = span / static_cast<double>(count - 1);

    std::vector<double> heights{height_a_m};
    if (height_b_m != height_a_m) heights.push_back(height_b_m);
    std::vector<model::fields::Source> sources;
    for (const double height_m : heights)
        for (const std::array<double, 3>& moment :
             {std::array{1.0, 0.0, 0.0}, std::array{0.0, 1.0, 0.0}, std::array{0.0, 0.0, 1.0}})
            sources.emplace_back(model::fields::Dipole{.moment_a_m2 = moment, .height_m = height_m});
    std::vector<model::fields::Receiver> receivers;
    for (std::size_t i = 0; i < count; ++i)
        receivers.push_back(
            {i + 1 == count ? offset_max_m : std::exp(log_first_ + static_cast<double>(i) * log_step_), 0});
    const auto results =
        model::fields::fields_at(earth, frequency_hz, sources, receivers, {.tolerance_rel = 1e-7});

    for (std::size_t loop = 0; loop < 2; ++loop) {
        const std::size_t first_source = loop < heights.size() ? 3 * loop : 0;
        for (std::size_t i = 0; i < count; ++i) {
            const double scale = std::pow(receivers[i].x_m, 3);
            Axes axes;
            for (std::size_t axis = 0; axis < 3; ++axis) {
                const model::fields::Fields& f = results[first_source + axis][i].fields;
                axes[axis] = {scale * f.ex_v_per_m, scale * f.ey_v_per_m, scale * f.hx_a_per_m,
                              scale * f.hy_a_per_m, scale * f.hz_a_per_m};
            }
            scaled_[loop].push_back(axes);
        }
    }
}

OffsetFields::Axes OffsetFields::interpolated(std::size_t loop, double offset_m) const {
    const std::vector<Axes>& table = scaled_[loop];
    const double place = (std::log(offset_m) - log_first_) / log_step_;
    const auto last = static_cast<double>(table.size() - 1);
    if (!(place > -1e-9 && place < last + 1e-9))
        throw std::out_of_range("offset outside the range the fields were computed for");
    const auto first = static_cast<std::size_t>(
        std::clamp(std::floor(place) - 2, 0.0, static_cast<double>(table.size() - points)));
    std::array<double, points> weights{};
    for (std::size_t i = 0; i < points; ++i) {
        weights[i] = 1;
        for (std::size_t j = 0; j < points; ++j)
            if (i != j)
                weights[i] *= (place - static_cast<double>(first + j)) /
                              (static_cast<double>(i) - static_cast<double>(j));
    }
    const double unscale = std::pow(offset_m, -3);
    Axes out{};
    for (std::size_t i = 0; i < points; ++i)
        for (std::size_t axis = 0; axis < 3; ++axis)
            for (std::size_t c = 0; c < components; ++c)
                out[axis][c] += unscale * weights[i] * table[first + i][axis][c];
    return out;
}

FieldPerMoment OffsetFields::at(std::size_t loop, double azimuth_deg, double tilt_deg, double offset_m,
                                double bearing_deg) const {
    const Axes axes = interpolated(loop, offset_m);
    // Moment in the frame whose x axis points at the receiver; z down.
    const double turn = radians(azimuth_deg - bearing_deg), tilt = radians(tilt_deg);
    const std::array<double, 3> moment{std::cos(tilt) * std::cos(turn), std::cos(tilt) * std::sin(turn),
                                       std::sin(tilt)};
    Components f{};
    for (std::size_t axis = 0; axis < 3; ++axis)
        for (std::size_t c = 0; c < components; ++c) f[c] += moment[axis] * axes[axis][c];
    // Back to north and east.
    const double c = std::cos(radians(bearing_deg)), s = std::sin(radians(bearing_deg));
    return {.horizontal = {.ex_v_per_m = c * f[0] - s * f[1],
                           .ey_v_per_m = s * f[0] + c * f[1],
                           .hx_a_per_m = c * f[2] - s * f[3],
                           .hy_a_per_m = s * f[2] + c * f[3]},
            .hz_a_per_m = f[4]};
}

}  // namespace ampturn::reading
