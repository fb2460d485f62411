#pragma once

#include <string>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/reach/stand_search.hpp"

namespace ampturn::plan {

std::string stand_search_text(const StandSearch& search, bool colour);
/// stand_candidates.csv, stand_search.json, the map stands.html, and with coordinates stands.geojson
/// (candidates with their scores, stations, planned stands) and waypoints.gpx (stations, planned stands, the
/// best candidate; the stations in order as a route).
std::vector<NamedText> stand_search_files(const Plan& plan, const StandSearch& search);

}  // namespace ampturn::plan
