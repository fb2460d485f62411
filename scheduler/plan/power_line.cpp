#include "scheduler/plan/power_line.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "scheduler/plan/geodesic.hpp"
#include "scheduler/plan/station_geometry.hpp"

namespace ampturn::plan {

namespace {

LatitudeLongitude on_globe(const Place& place) { return {*place.latitude_deg, *place.longitude_deg}; }

/// To the nearest point of a straight stretch.
double plane_distance_m(const Place& place, const Place& from, const Place& to) {
    const double along_x = to.x_m - from.x_m, along_y = to.y_m - from.y_m;
    const double from_x = from.x_m - place.x_m, from_y = from.y_m - place.y_m;
    const double length2 = along_x * along_x + along_y * along_y;
    const double share =
        length2 > 0 ? std::clamp(-(from_x * along_x + from_y * along_y) / length2, 0.0, 1.0) : 0;
    return std::hypot(from_x + share * along_x, from_y + share * along_y);
}

}  // namespace

double distance_to_line_m(const Place& place, const PowerLine& line) {
    double nearest_m = std::numeric_limits<double>::infinity();
    for (std::size_t i = 1; i < line.points.size(); ++i) {
        const Place &from = line.points[i - 1], &to = line.points[i];
        const bool geographic = is_geographic(place) && is_geographic(from) && is_geographic(to);
        nearest_m = std::min(
            nearest_m, geographic ? distance_to_geodesic_m(on_globe(place), on_globe(from), on_globe(to))
                                  : plane_distance_m(place, from, to));
    }
    return nearest_m;
}

double power_line_b_nt(const PowerLine& line, double distance_m) {
    return line.mains_b_nt * std::pow(line.at_distance_m / distance_m, line.fall_off_exponent);
}

double power_lines_b_nt(const std::vector<PowerLine>& lines, const Place& place) {
    double b_nt = 0;
    for (const PowerLine& line : lines)
        b_nt = std::hypot(b_nt, power_line_b_nt(line, distance_to_line_m(place, line)));
    return b_nt;
}

}  // namespace ampturn::plan
