#include "scheduler/terrain/elevation_grid.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace ampturn::terrain {

std::optional<double> ElevationGrid::at(const GridPoint& point) const {
    const double across = (point.east - west) / step_east, up = (point.north - south) / step_north;
    const auto width = static_cast<double>(columns), length = static_cast<double>(rows);
    if (!(across >= 0 && across <= width && up >= 0 && up <= length)) return std::nullopt;
    const double x = std::min(std::max(across - 0.5, 0.0), width - 1);
    const double y = std::min(std::max(length - up - 0.5, 0.0), length - 1);  // from the north
    const auto column = static_cast<std::size_t>(x), row = static_cast<std::size_t>(y);
    const double right = x - static_cast<double>(column), down = y - static_cast<double>(row);
    double sum_m = 0;
    for (std::size_t i = 0; i < 2; ++i)
        for (std::size_t k = 0; k < 2; ++k) {
            const double weight = (i == 0 ? 1 - down : down) * (k == 0 ? 1 - right : right);
            if (weight == 0) continue;
            sum_m += weight * static_cast<double>(height_m[(row + i) * columns + column + k]);
        }
    return std::isnan(sum_m) ? std::nullopt : std::optional(sum_m);
}

std::optional<double> ElevationGrid::slope_deg(const GridPoint& point) const {
    const auto west_m = at({point.east - step_east, point.north}),
               east_m = at({point.east + step_east, point.north}),
               south_m = at({point.east, point.north - step_north}),
               north_m = at({point.east, point.north + step_north});
    if (!west_m || !east_m || !south_m || !north_m) return std::nullopt;
    const GridPoint step = step_m(point.north);
    return std::atan(
               std::hypot((*east_m - *west_m) / (2 * step.east), (*north_m - *south_m) / (2 * step.north))) *
           180 / std::numbers::pi;
}

GridPoint ElevationGrid::step_m(double north) const {
    if (unit == GridUnit::metre) return {step_east, step_north};
    // Radii of curvature of the WGS84 ellipsoid along the meridian and across it, from memory.
    constexpr double rad = std::numbers::pi / 180, semi_major_m = 6'378'137, e2 = 6.69437999014e-3;
    const double w2 = 1 - e2 * std::pow(std::sin(north * rad), 2);
    return {step_east * rad * semi_major_m * std::cos(north * rad) / std::sqrt(w2),
            step_north * rad * semi_major_m * (1 - e2) / std::pow(w2, 1.5)};
}

}  // namespace ampturn::terrain
