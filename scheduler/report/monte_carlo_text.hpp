#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/monte_carlo.hpp"

namespace ampturn::report {

/// The runs for a terminal; names come from the day they were drawn around. Ends in a newline.
std::string monte_carlo_text(const day::MonteCarloSummary& runs, const day::DayResult& day);

/// The same as JSON, units in the keys, closed by a newline.
std::string monte_carlo_json_text(const day::MonteCarloSummary& runs, const day::DayResult& day);

}  // namespace ampturn::report
