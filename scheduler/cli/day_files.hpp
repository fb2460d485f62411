#pragma once

#include <string>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::cli {

/// The files of one day in a folder, made if missing: day.json, CSV tables and report.html; with `runs` also what they come to.
void write_day_files(const std::string& folder, const day::DayResult& day,
                     const day::MonteCarloSummary* runs = nullptr);

/// The receiver crews' pages and their schedule in a folder that exists; the names written.
std::vector<std::string> write_receiver_files(const std::string& folder, const plan::Plan& plan,
                                              const day::DayResult& day);

}  // namespace ampturn::cli
