#include "scheduler/day/sweep_outcome.hpp"

#include <algorithm>

namespace ampturn::day {

bool completed_in_any_attempt(const std::vector<SweepOutcome>& sweeps, const SweepOutcome& sweep) {
    return std::any_of(sweeps.begin(), sweeps.end(), [&](const SweepOutcome& other) {
        return other.complete() && other.station_index == sweep.station_index &&
               other.sweep_number == sweep.sweep_number;
    });
}

bool short_of_batteries(const std::vector<SweepOutcome>& sweeps) {
    return std::any_of(sweeps.begin(), sweeps.end(), [&](const SweepOutcome& s) {
        return s.stopped_by && for_want_of_battery(*s.stopped_by) && !completed_in_any_attempt(sweeps, s);
    });
}

}  // namespace ampturn::day
