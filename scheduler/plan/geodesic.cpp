#include "scheduler/plan/geodesic.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <boost/geometry/core/radius.hpp>
#include <boost/geometry/formulas/vincenty_direct.hpp>
#include <boost/geometry/formulas/vincenty_inverse.hpp>
#include <boost/geometry/srs/spheroid.hpp>

namespace ampturn::plan {

namespace {

namespace formula = boost::geometry::formula;

constexpr double rad_per_deg = std::numbers::pi / 180;

// The library takes radians, longitude first.
const boost::geometry::srs::spheroid<double>& wgs84() {
    static const boost::geometry::srs::spheroid<double> spheroid(6378137.0,
                                                                 6378137.0 * (1 - 1 / 298.257223563));
    return spheroid;
}

/// A point on a geodesic and its direction there, in radians.
struct Along {
    LatitudeLongitude at;
    double azimuth_rad;
};
Along along(const LatitudeLongitude& from, double azimuth_deg, double distance_m) {
    const auto found = formula::vincenty_direct<double, true, true>::apply(
        from.longitude_deg * rad_per_deg, from.latitude_deg * rad_per_deg, distance_m,
        azimuth_deg * rad_per_deg, wgs84());
    return {{found.lat2 / rad_per_deg, found.lon2 / rad_per_deg}, found.reverse_azimuth};
}

}  // namespace

DistanceAzimuth geodesic_between(const LatitudeLongitude& from, const LatitudeLongitude& to) {
    const auto found = formula::vincenty_inverse<double, true, true>::apply(
        from.longitude_deg * rad_per_deg, from.latitude_deg * rad_per_deg, to.longitude_deg * rad_per_deg,
        to.latitude_deg * rad_per_deg, wgs84());
    return {found.distance, found.azimuth / rad_per_deg};
}

LatitudeLongitude geodesic_end(const LatitudeLongitude& from, const DistanceAzimuth& way) {
    return along(from, way.azimuth_deg, way.distance_m).at;
}

double distance_to_geodesic_m(const LatitudeLongitude& place, const LatitudeLongitude& from,
                              const LatitudeLongitude& to) {
    const DistanceAzimuth whole = geodesic_between(from, to);
    // From a point of the line the foot lies about as far on as the way to the place goes along the line: exact in a plane, and on
    // the globe what is left falls by the square of the distance over the earth's radius each time.
    double walked_m = 0;
    for (int i = 0; i < 100; ++i) {
        const Along here = along(from, whole.azimuth_deg, walked_m);
        const DistanceAzimuth way = geodesic_between(here.at, place);
        const double next_m =
            std::clamp(walked_m + way.distance_m * std::cos(way.azimuth_deg * rad_per_deg - here.azimuth_rad),
                       0.0, whole.distance_m);
        if (std::abs(next_m - walked_m) <= 1e-6) return way.distance_m;
        walked_m = next_m;
    }
    return geodesic_between(along(from, whole.azimuth_deg, walked_m).at, place).distance_m;
}

}  // namespace ampturn::plan
