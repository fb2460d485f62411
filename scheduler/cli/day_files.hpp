#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/monte_carlo.hpp"

namespace ampturn::cli {

/// The files of one day in a folder, made if missing: day.json, CSV tables and report.html; with `runs` also what they come to.
void write_day_files(const std::string& folder, const day::DayResult& day,
                     const day::MonteCarloSummary* runs = nullptr);

}  // namespace ampturn::cli
