#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/draws.hpp"

namespace ampturn::plan {

/// Everything of the report between <body> and the scripts; `draws` may be nullptr.
std::string report_body(const DayResult& day, const DrawSummary* draws);

}  // namespace ampturn::plan
