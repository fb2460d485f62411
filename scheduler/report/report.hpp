#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/monte_carlo.hpp"

namespace ampturn::report {

/// The day as one self-contained HTML page: no other file, no request to any network (a content security
/// policy in the page forbids it). Tables are plain HTML and readable without script and on paper (A4 and
/// Letter); charts need script and have their numbers as a table below them. Light and dark by the reader's
/// preference. Same day, same bytes.
/// With `runs` it also says how sure the day is.
std::string report_html(const day::DayResult& day, const day::MonteCarloSummary* runs = nullptr);

}  // namespace ampturn::report
