#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/draws.hpp"

namespace ampturn::plan {

/// The draws for a terminal; names come from the day they were drawn around. Ends in a newline.
std::string draws_text(const DrawSummary& draws, const DayResult& day);

/// The same as JSON, units in the keys, closed by a newline.
std::string draws_json_text(const DrawSummary& draws, const DayResult& day);

}  // namespace ampturn::plan
