#pragma once

#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// Distances and bearings between places, on the WGS84 ellipsoid where coordinates are geographic, in the
/// local plane where they are not. Geodesics: geodesic.hpp.

struct OffsetBearing {
    double offset_m = 0;
    double bearing_deg = 0;  // at the first point, clockwise from true north, 0 <= bearing < 360
};

/// The same bearing, 0 <= bearing < 360.
double bearing_0_to_360(double bearing_deg);

/// From one place to another. Both geographic: geodesic; else straight in the local plane. Coincident places:
/// offset 0, bearing 0.
OffsetBearing offset_bearing(const Place& from, const Place& to);

/// The place at an offset and bearing; geographic if `from` is.
Place place_at(const Place& from, const OffsetBearing& way, const Place& origin);

/// Fills x_m and y_m of a geographic place: geodesic distance and azimuth from `origin` unrolled into a plane
/// (azimuthal equidistant); exact along lines through the origin, 2e-6 of the distance at 20 km elsewhere.
void project(Place& place, const Place& origin);

/// Whether a place is known on the globe, not only in the plan's plane.
inline bool is_geographic(const Place& place) { return place.latitude_deg && place.longitude_deg; }

}  // namespace ampturn::plan
