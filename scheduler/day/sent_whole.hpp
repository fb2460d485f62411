#pragma once

#include <vector>

#include "scheduler/day/day_result.hpp"

namespace ampturn::day {

/// Whether this sweep of its station was sent whole, at this attempt or another.
bool sent_whole(const std::vector<SweepOutcome>& sweeps, const SweepOutcome& sweep);

/// Whether the batteries fell short: a sweep was never sent whole and a spent battery is why. The one rule
/// for the count of sets to carry and for the runs in which the carried ones suffice.
bool short_of_batteries(const std::vector<SweepOutcome>& sweeps);

}  // namespace ampturn::day
