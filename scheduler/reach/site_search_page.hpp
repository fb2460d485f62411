#pragma once

#include <string>

#include "scheduler/reach/site_search.hpp"

namespace ampturn::reach {

/// Every candidate with its score, best first; closed by a newline.
std::string site_search_json_text(const SiteSearch& search);

/// A page with the map: candidates by score, the plan's sites, the stations, keep-out circles, a scale;
/// below it the same as a table and as plain text.
std::string site_search_html(const SiteSearch& search);

}  // namespace ampturn::reach
