#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/monte_carlo.hpp"

namespace ampturn::report {

/// Tables of the report as HTML. Those that stand under a chart hold the numbers it draws.

std::string verdict_matrix_html(const day::DayResult& day);  // with legend and plain-text fallback
/// `table` of all readings behind a line to click on; above a thousand rows, where they are instead.
std::string collapsed_readings(const day::DayResult& day, const std::string& summary,
                               std::string (*table)(const day::DayResult&));
std::string readings_table_html(const day::DayResult& day);
std::string sites_table_html(const day::DayResult& day);
std::string stations_table_html(const day::DayResult& day);
/// Only with DayResult::order.
std::string order_table_html(const day::DayResult& day);
/// Only with DayResult::crew_order.
std::string crew_order_table_html(const day::DayResult& day);
std::string batteries_table_html(const day::DayResult& day);
/// The whole trace, collapsed; when it is longer than 400 samples, the lowest voltage of each stretch.
std::string battery_trace_html(const day::DayResult& day);
std::string snr_table_html(const day::DayResult& day);
std::string soundings_table_html(const day::DayResult& day);
std::string bias_table_html(const day::DayResult& day);
/// With a heading; "" where the plan has no receiver crews.
std::string receiver_crews_html(const day::DayResult& day);
std::string timeline_table_html(const day::DayResult& day);
std::string steps_table_html(const day::DayResult& day);
/// Percentiles, what matters most, and the probability of each reading.
std::string monte_carlo_html(const day::DayResult& day, const day::MonteCarloSummary& runs);

}  // namespace ampturn::report
