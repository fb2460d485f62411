#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

/// What came out of a day, in words.

/// A finding of this day in words, one line with its numbers.
std::string finding_text(const day::Finding& finding, const day::DayResult& day);

/// How many battery sets to carry: "2"; "no number" when none carries the day.
std::string batteries_to_carry(const day::DayResult& day);

/// How the count of batteries to carry was found.
std::string batteries_needed_text(const day::DayResult& day);

/// What kept a step's current where it is, one word; "" for a step without dwell.
std::string limit_text(const day::StepOutcome& step);

/// Why a sweep was not sent whole; "" for one that was.
std::string stop_text(const day::SweepOutcome& sweep);

/// What happens in an entry of this day's timeline: "transmitter crew: base to West mast".
std::string activity_text(const day::TimelineEntry& entry, const day::DayResult& day);

}  // namespace ampturn::report
