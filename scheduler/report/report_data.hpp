#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/monte_carlo.hpp"

namespace ampturn::report {

/// What the charts of the report draw, as JSON in one line: the parts of day_json they use, and the battery
/// trace column by column; the battery over the runs where there are any.
std::string report_data_text(const day::DayResult& day, const day::MonteCarloSummary* runs = nullptr);

}  // namespace ampturn::report
