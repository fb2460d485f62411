#include "scheduler/day/sent_whole.hpp"

#include <algorithm>

namespace ampturn::plan {

bool sent_whole(const std::vector<SweepOutcome>& sweeps, const SweepOutcome& sweep) {
    return std::any_of(sweeps.begin(), sweeps.end(), [&](const SweepOutcome& other) {
        return other.complete && other.station_index == sweep.station_index &&
               other.sweep_number == sweep.sweep_number;
    });
}

}  // namespace ampturn::plan
