#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::plan {

/// A finding of this day in words, one line with its numbers.
std::string finding_text(const Finding& finding, const DayResult& day);

}  // namespace ampturn::plan
