#pragma once

#include <vector>

#include "scheduler/day/day_result.hpp"

namespace ampturn::plan {

/// Whether this sweep of its station was sent whole, at this attempt or another.
bool sent_whole(const std::vector<SweepOutcome>& sweeps, const SweepOutcome& sweep);

}  // namespace ampturn::plan
