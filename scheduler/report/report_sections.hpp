#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/monte_carlo.hpp"

namespace ampturn::plan {

/// Everything of the report between <body> and the scripts; `runs` may be nullptr.
std::string report_body(const DayResult& day, const MonteCarloSummary* runs);

}  // namespace ampturn::plan
