#pragma once

namespace ampturn::plan {

/// Geodesics on the WGS84 ellipsoid, of latitudes -90 to 90 and longitudes in degrees.
/// To 10 um up to 1000 km; not for points that are nearly opposite each other. (Of what Boost.Geometry has, Karney's formulas are
/// closer, but convert negative numbers to unsigned ones, which machines do differently.)
/// Source: Vincenty (1975), Survey Review 23 (176), 88-93, as Boost.Geometry has it.

struct LatitudeLongitude {
    double latitude_deg, longitude_deg;
};

struct DistanceAzimuth {
    double distance_m, azimuth_deg;  // azimuth at the first point, clockwise from north, -180 to 180
};

DistanceAzimuth geodesic_between(const LatitudeLongitude& from, const LatitudeLongitude& to);
LatitudeLongitude geodesic_end(const LatitudeLongitude& from, const DistanceAzimuth& way);

/// From a place to the nearest point of the geodesic between two others, itself or an end; all within a quarter of the globe. The
/// distance is as exact as geodesic_between().
double distance_to_geodesic_m(const LatitudeLongitude& place, const LatitudeLongitude& from,
                              const LatitudeLongitude& to);

}  // namespace ampturn::plan
