#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/monte_carlo.hpp"

namespace ampturn::report {

/// Everything of the report between <body> and the scripts; `runs` may be nullptr.
std::string report_body(const day::DayResult& day, const day::MonteCarloSummary* runs);

}  // namespace ampturn::report
