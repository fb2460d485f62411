#pragma once

#include <vector>

#include "scheduler/day/day_run.hpp"
#include "scheduler/reading/assess_reading.hpp"
#include "scheduler/reading/station_response.hpp"

namespace ampturn::day {

/// Judges every station at every frequency by what a day sent there: only whole steps count, noise is that of
/// the hours the sweeps were sent in. `moment_factor` scales every moment (1 unless the loop's area is in
/// doubt). Station by station, frequency by frequency.
std::vector<reading::Reading> assess_day(const plan::Plan& plan, const DayRun& run,
                                         const std::vector<setup::TableRow>& rows,
                                         const std::vector<reading::FrequencyResponse>& responses,
                                         double moment_factor = 1);

}  // namespace ampturn::day
