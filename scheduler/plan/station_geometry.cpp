#include "scheduler/plan/station_geometry.hpp"

#include <cmath>
#include <numbers>

#include "scheduler/plan/geodesic.hpp"

namespace ampturn::plan {

namespace {

constexpr double rad_per_deg = std::numbers::pi / 180;

}  // namespace

double bearing_0_to_360(double bearing_deg) {
    const double turned = std::fmod(bearing_deg, 360.0);
    return turned < 0 ? turned + 360.0 : turned;
}

OffsetBearing offset_bearing(const Place& from, const Place& to) {
    double offset_m = 0;
    double bearing_deg = 0;
    if (is_geographic(from) && is_geographic(to)) {
        const DistanceAzimuth way = geodesic_between({*from.latitude_deg, *from.longitude_deg},
                                                     {*to.latitude_deg, *to.longitude_deg});
        offset_m = way.distance_m;
        bearing_deg = way.azimuth_deg;
    } else {
        offset_m = std::hypot(to.x_m - from.x_m, to.y_m - from.y_m);
        bearing_deg = std::atan2(to.y_m - from.y_m, to.x_m - from.x_m) / rad_per_deg;
    }
    if (offset_m == 0) return {};
    return {offset_m, bearing_0_to_360(bearing_deg)};
}

Place place_at(const Place& from, const OffsetBearing& way, const Place& origin) {
    Place place;
    if (is_geographic(from)) {
        const LatitudeLongitude there =
            geodesic_end({*from.latitude_deg, *from.longitude_deg}, {way.offset_m, way.bearing_deg});
        place.latitude_deg = there.latitude_deg;
        place.longitude_deg = there.longitude_deg;
        project(place, origin);
    } else {
        place.x_m = from.x_m + way.offset_m * std::cos(way.bearing_deg * rad_per_deg);
        place.y_m = from.y_m + way.offset_m * std::sin(way.bearing_deg * rad_per_deg);
    }
    return place;
}

void project(Place& place, const Place& origin) {
    const OffsetBearing way = offset_bearing(origin, place);
    place.x_m = way.offset_m * std::cos(way.bearing_deg * rad_per_deg);
    place.y_m = way.offset_m * std::sin(way.bearing_deg * rad_per_deg);
}

}  // namespace ampturn::plan
