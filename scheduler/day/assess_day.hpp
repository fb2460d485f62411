#pragma once

#include <vector>

#include "scheduler/day/day_run.hpp"
#include "scheduler/reading/assess_reading.hpp"
#include "scheduler/reading/station_response.hpp"

namespace ampturn::plan {

/// Judges every station at every frequency by what a day sent there: only whole steps count, noise is that of
/// the hours the sweeps were sent in. `moment_factor` scales every moment (1 unless the loop's area is in
/// doubt). Station by station, frequency by frequency.
std::vector<Reading> assess_day(const Plan& plan, const DayRun& run, const std::vector<TableRow>& rows,
                                const std::vector<FrequencyResponse>& responses, double moment_factor = 1);

}  // namespace ampturn::plan
