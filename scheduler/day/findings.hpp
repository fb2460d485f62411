#pragma once

#include <vector>

#include "scheduler/day/day_result.hpp"

namespace ampturn::day {

/// What the reader of a day should know first, most important first.
std::vector<Finding> findings_of(const DayResult& day);

}  // namespace ampturn::day
