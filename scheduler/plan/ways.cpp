#include "scheduler/plan/ways.hpp"

#include <cmath>

#include "scheduler/plan/station_geometry.hpp"

namespace ampturn::plan {

terrain::Spot spot_of(const Place& place) {
    return {place.x_m, place.y_m,
            is_geographic(place) ? terrain::GridPoint{*place.longitude_deg, *place.latitude_deg}
                                 : terrain::GridPoint{place.y_m, place.x_m}};
}

terrain::LonLat lon_lat_of(const Place& place) { return {*place.longitude_deg, *place.latitude_deg}; }

double level_way_m(const terrain::Walk* walk, const terrain::Spot& from, const terrain::Spot& to) {
    return walk != nullptr ? walk->level_m(from, to)
                           : std::hypot(from.north_m - to.north_m, from.east_m - to.east_m);
}

}  // namespace ampturn::plan
