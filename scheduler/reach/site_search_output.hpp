#pragma once

#include <string>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/reach/site_search.hpp"

namespace ampturn::reach {

std::string site_search_text(const SiteSearch& search, bool colour);
/// site_candidates.csv, site_search.json, the map sites.html, and with coordinates sites.geojson
/// (candidates with their scores, stations, planned sites) and waypoints.gpx (stations, planned sites, the
/// best candidate; the stations in order as a route).
std::vector<base::NamedText> site_search_files(const plan::Plan& plan, const SiteSearch& search);

}  // namespace ampturn::reach
