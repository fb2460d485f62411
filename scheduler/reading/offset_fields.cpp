#include "scheduler/reading/offset_fields.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"
#include "model/fields/fields.hpp"
#include "model/ground/plane_wave.hpp"

namespace ampturn::reading {

namespace {

constexpr double offset_ratio = 1.05;

double radians(double degrees) { return degrees * model::pi / 180; }

/// Six rows of sixteen numbers, weighted.
template <std::size_t width>
AMPTURN_LANE void add_rows(const double* rows, const double* weights, double* out) {
    constexpr std::size_t numbers = 16;
    for (std::size_t k = 0; k < numbers; k += width) {
        auto sum = weights[0] * model::lane::load<width>(rows + k);
        for (std::size_t i = 1; i < OffsetGrid::points; ++i)
            sum += weights[i] * model::lane::load<width>(rows + i * numbers + k);
        model::lane::store(out + k, sum);
    }
}
AMPTURN_DISPATCH(add_weighted, (const double* rows, const double* weights, double* out),
                 add_rows<width>(rows, weights, out))

}  // namespace

OffsetGrid::OffsetGrid(double offset_min_m, double offset_max_m)
    : offset_max_m_(offset_max_m), log_first_(std::log(offset_min_m)) {
    if (!(offset_min_m >= 1 && offset_max_m > offset_min_m))
        throw std::invalid_argument("offsets: the first at least 1 m, the last beyond the first");
    const double span = std::log(offset_max_m) - log_first_;
    count_ = std::max(points, static_cast<std::size_t>(std::ceil(span / std::log(offset_ratio))) + 1);
    log_step_ = span / static_cast<double>(count_ - 1);
}

double OffsetGrid::offset_m(std::size_t i) const {
    return i + 1 == count_ ? offset_max_m_ : std::exp(log_first_ + static_cast<double>(i) * log_step_);
}

OffsetGrid::Weights OffsetGrid::at(double offset_m) const {
    const double place = (std::log(offset_m) - log_first_) / log_step_;
    const auto last = static_cast<double>(count_ - 1);
    if (!(place > -1e-9 && place < last + 1e-9))
        throw std::out_of_range("offset outside the range the fields were computed for");
    Weights out{};
    out.first = static_cast<std::size_t>(
        std::clamp(std::floor(place) - 2, 0.0, static_cast<double>(count_ - points)));
    // Products of the distances on either side, over those between the nodes: 5! and so on.
    constexpr std::array<double, points> between{-120, 24, -12, 12, -24, 120};
    const double t = place - static_cast<double>(out.first);
    std::array<double, points + 1> below{1}, above{};
    for (std::size_t i = 0; i < points; ++i) below[i + 1] = below[i] * (t - static_cast<double>(i));
    above[points] = 1;
    for (std::size_t i = points; i > 0; --i) above[i - 1] = above[i] * (t - static_cast<double>(i - 1));
    const double unscale = 1 / (offset_m * offset_m * offset_m);
    for (std::size_t i = 0; i < points; ++i) out.weight[i] = unscale * (below[i] * above[i + 1] / between[i]);
    return out;
}

Way::Way(double bearing_deg) : north(std::cos(radians(bearing_deg))), east(std::sin(radians(bearing_deg))) {}

LoopNormal::LoopNormal(double azimuth_deg, double tilt_deg)
    : north(std::cos(radians(tilt_deg)) * std::cos(radians(azimuth_deg))),
      east(std::cos(radians(tilt_deg)) * std::sin(radians(azimuth_deg))),
      down(std::sin(radians(tilt_deg))) {}

OffsetFields::OffsetFields(const model::ground::LayeredEarth& earth, double frequency_hz, double height_a_m,
                           double height_b_m, const OffsetGrid& grid, double tolerance_rel)
    : frequency_hz_(frequency_hz),
      grid_(grid),
      plane_impedance_ohm_(model::ground::plane_wave_impedance_ohm(earth, frequency_hz)) {
    std::vector<double> heights{height_a_m};
    if (height_b_m != height_a_m) heights.push_back(height_b_m);
    std::vector<model::fields::Source> sources;
    for (const double height_m : heights)
        for (const std::array<double, 3>& moment :
             {std::array{1.0, 0.0, 0.0}, std::array{0.0, 1.0, 0.0}, std::array{0.0, 0.0, 1.0}})
            sources.emplace_back(model::fields::Dipole{.moment_a_m2 = moment, .height_m = height_m});
    std::vector<model::fields::Receiver> receivers;
    for (std::size_t i = 0; i < grid.size(); ++i) receivers.push_back({grid.offset_m(i), 0});
    const auto results =
        model::fields::fields_at(earth, frequency_hz, sources, receivers, {.tolerance_rel = tolerance_rel});

    for (std::size_t loop = 0; loop < heights.size(); ++loop)
        for (std::size_t i = 0; i < grid.size(); ++i) {
            const auto of = [&](std::size_t axis) -> const model::fields::Fields& {
                return results[3 * loop + axis][i].fields;
            };
            const double scale = receivers[i].x_m * receivers[i].x_m * receivers[i].x_m;
            for (const std::complex<double> value :
                 {of(1).ex_v_per_m, of(1).hy_a_per_m, of(0).ey_v_per_m, of(0).hx_a_per_m, of(0).hz_a_per_m,
                  of(2).ey_v_per_m, of(2).hx_a_per_m, of(2).hz_a_per_m}) {
                tables_[loop].push_back(scale * value.real());
                tables_[loop].push_back(scale * value.imag());
            }
        }
}

OffsetFields::Axes OffsetFields::axes(std::size_t loop, const OffsetGrid::Weights& at) const {
    std::array<double, numbers> sum;
    add_weighted(tables_[same_height() ? 0 : loop].data() + at.first * numbers, at.weight.data(), sum.data());
    const auto value = [&](std::size_t k) { return std::complex(sum[2 * k], sum[2 * k + 1]); };
    return {value(0), value(1), value(2), value(3), value(4), value(5), value(6), value(7)};
}

FieldPerMoment OffsetFields::turned(const Axes& f, const LoopNormal& normal, const Way& way) {
    const double c = way.north, s = way.east;
    // The moment in the frame whose x axis points at the receiver.
    const double along = normal.north * c + normal.east * s, across = normal.east * c - normal.north * s;
    const std::complex<double> ex = across * f.ex_y, ey = along * f.ey_x + normal.down * f.ey_z,
                               hx = along * f.hx_x + normal.down * f.hx_z, hy = across * f.hy_y;
    return {.horizontal = {.ex_v_per_m = c * ex - s * ey,
                           .ey_v_per_m = s * ex + c * ey,
                           .hx_a_per_m = c * hx - s * hy,
                           .hy_a_per_m = s * hx + c * hy},
            .hz_a_per_m = along * f.hz_x + normal.down * f.hz_z};
}

FieldPerMoment OffsetFields::at(std::size_t loop, double azimuth_deg, double tilt_deg, double offset_m,
                                double bearing_deg) const {
    return turned(axes(loop, grid_.at(offset_m)), LoopNormal(azimuth_deg, tilt_deg), Way(bearing_deg));
}

}  // namespace ampturn::reading
