#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::plan {

/// What came out of a day, in words.

/// A finding of this day in words, one line with its numbers.
std::string finding_text(const Finding& finding, const DayResult& day);

/// How many battery sets to carry: "2"; "no number" when none carries the day.
std::string batteries_to_carry(const DayResult& day);

/// How the count of batteries to carry was found.
std::string batteries_needed_text(const DayResult& day);

/// What kept a step's current where it is, one word; "" for a step without dwell.
std::string limit_text(const StepOutcome& step);

/// Why a sweep was not sent whole; "" for one that was.
std::string stop_text(const SweepOutcome& sweep);

}  // namespace ampturn::plan
