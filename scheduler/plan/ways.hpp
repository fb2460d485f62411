#pragma once

#include "scheduler/plan/plan.hpp"
#include "scheduler/terrain/geojson_features.hpp"

namespace ampturn::plan {

/// Places of a plan on its map.

/// In the plan's plane, and in the coordinates a grid of heights has: degrees for places that have them.
terrain::Spot spot_of(const Place& place);
/// Of a geographic place.
terrain::LonLat lon_lat_of(const Place& place);

/// What a walk comes to in metres of level open ground: over slopes and tracks, or without a `walk` straight and level.
double level_way_m(const terrain::Walk* walk, const terrain::Spot& from, const terrain::Spot& to);

}  // namespace ampturn::plan
