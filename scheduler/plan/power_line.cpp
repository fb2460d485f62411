#include "scheduler/plan/power_line.hpp"

#include <GeographicLib/Geodesic.hpp>
#include <GeographicLib/Gnomonic.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "scheduler/plan/station_geometry.hpp"

namespace ampturn::plan {

namespace {

using Point = std::array<double, 2>;

/// The point of a stretch that is nearest to the origin.
Point foot(const Point& from, const Point& to) {
    const double along_x = to[0] - from[0], along_y = to[1] - from[1];
    const double length2 = along_x * along_x + along_y * along_y;
    const double share =
        length2 > 0 ? std::clamp(-(from[0] * along_x + from[1] * along_y) / length2, 0.0, 1.0) : 0;
    return {from[0] + share * along_x, from[1] + share * along_y};
}

double geodesic_distance_m(const Place& place, const Place& from, const Place& to) {
    const GeographicLib::Gnomonic about(GeographicLib::Geodesic::WGS84());
    const double latitude_deg = *place.latitude_deg, longitude_deg = *place.longitude_deg;
    const auto projected = [&](const Place& p) {
        Point out{};
        about.Forward(latitude_deg, longitude_deg, *p.latitude_deg, *p.longitude_deg, out[0], out[1]);
        return out;
    };
    const Point nearest = foot(projected(from), projected(to));
    Place there;
    double nearest_latitude_deg = 0, nearest_longitude_deg = 0;
    about.Reverse(latitude_deg, longitude_deg, nearest[0], nearest[1], nearest_latitude_deg,
                  nearest_longitude_deg);
    there.latitude_deg = nearest_latitude_deg;
    there.longitude_deg = nearest_longitude_deg;
    return offset_bearing(place, there).offset_m;
}

double plane_distance_m(const Place& place, const Place& from, const Place& to) {
    const Point nearest =
        foot({from.x_m - place.x_m, from.y_m - place.y_m}, {to.x_m - place.x_m, to.y_m - place.y_m});
    return std::hypot(nearest[0], nearest[1]);
}

}  // namespace

double distance_to_line_m(const Place& place, const PowerLine& line) {
    double nearest_m = std::numeric_limits<double>::infinity();
    for (std::size_t i = 1; i < line.points.size(); ++i) {
        const Place &from = line.points[i - 1], &to = line.points[i];
        const bool geographic = is_geographic(place) && is_geographic(from) && is_geographic(to);
        nearest_m = std::min(
            nearest_m, geographic ? geodesic_distance_m(place, from, to) : plane_distance_m(place, from, to));
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
