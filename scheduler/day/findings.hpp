#pragma once

#include <string>
#include <vector>

#include "scheduler/day/day_result.hpp"

namespace ampturn::plan {

/// What the reader of a day should know first, most important first, a line each with its numbers.
std::vector<std::string> findings_of(const DayResult& day);

}  // namespace ampturn::plan
