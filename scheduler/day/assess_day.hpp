#pragma once

#include <vector>

#include "scheduler/day/day_run.hpp"
#include "scheduler/reading/assess_reading.hpp"
#include "scheduler/reading/station_response.hpp"

namespace ampturn::day {

/// What a loop's moment is of that planned: 1 unless its area is in doubt.
struct MomentFactors {
    double a = 1, b = 1;
};

/// Judges every station at every frequency by what a day sent there: only whole steps count, and of these the whole
/// records; noise is that of the hours the sweeps were sent in. Station by station, frequency by frequency.
std::vector<reading::Reading> assess_day(const plan::Plan& plan, const DayRun& run,
                                         const std::vector<setup::TableRow>& rows,
                                         const std::vector<reading::FrequencyResponse>& responses,
                                         const MomentFactors& factors = {},
                                         reading::Reasons reasons = reading::Reasons::told);

}  // namespace ampturn::day
