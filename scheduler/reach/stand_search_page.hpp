#pragma once

#include <string>

#include "scheduler/reach/stand_search.hpp"

namespace ampturn::plan {

/// Every candidate with its score, best first; closed by a newline.
std::string stand_search_json_text(const StandSearch& search);

/// A page with the map: candidates by score, the plan's stands, the stations, keep-out circles, a scale;
/// below it the same as a table and as plain text.
std::string stand_search_html(const StandSearch& search);

}  // namespace ampturn::plan
