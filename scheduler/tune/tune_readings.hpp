#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::tune {

/// What becomes of the readings the plan requires when its day is run with other dwells.
struct ReadingsMoved {
    int passed_before, kept, gained;             // passed_after = kept + gained
    int lost_not_sent, lost_noisy, lost_biased;  // passed_before = kept + these
};
/// Both days are of the same stations and frequencies, in the same order.
ReadingsMoved readings_moved(const day::DayResult& before, const day::DayResult& after);

/// "Of 89 required readings that pass now, 65 still do; 24 are not sent. 5 pass that did not: 70 of 216."
std::string readings_moved_text(const ReadingsMoved& moved, int required_count);

}  // namespace ampturn::tune
