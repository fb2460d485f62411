#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

struct Range {
    double lowest, highest;  // NaN, NaN: nothing was sent
};
/// "9.32", "9.1-9.4", "-3.1 to 2.0", "-"
std::string range_text(const Range& range, int digits);

/// One row of the table over all sweeps of the day.
struct StepSummary {
    const setup::TableRow* row;  // of the day it was made from
    int times_sent;              // whole or broken off
    Range current_a_peak, moment_a_m2_peak, winding_c;
    double mean_energy_wh;                              // over the whole ones; NaN if none
    double lowest_v;                                    // of the battery, NaN if never sent
    std::vector<model::transmitter::Limit> limited_by;  // each that occurred once, in the order of occurrence
};
/// What limited it, joined by ", ".
std::string limits_text(const StepSummary& summary);

/// Over all sweeps, or over those of one site.
std::vector<StepSummary> step_summaries(const day::DayResult& day,
                                        std::optional<int> site_index = std::nullopt);

}  // namespace ampturn::report
