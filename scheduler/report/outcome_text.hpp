#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

/// What came out of a day, in words.

/// A finding of this day in words, one line with its numbers.
std::string finding_text(const day::Finding& finding, const day::DayResult& day);

/// "4 sweeps, each with 3 stations listening"; "5 sweeps, 3 with 2 stations listening, 2 with 1 station listening".
std::string heard_text(const std::vector<day::SweepsHeard>& heard);

/// Who is at work in an entry of this day's timeline: "transmitter", the name of a receiver crew; "" for what is
/// nobody's alone.
std::string crew_text(const day::TimelineEntry& entry, const day::DayResult& day);

/// When a receiver crew is back: "16:20:00"; "stays at the base".
std::string back_text(const day::CrewSummary& crew);

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

/// A battery that no longer carried the unit was at the cut-off only if its volts were: a cold or tired one can
/// run out of available charge above it.
bool at_cut_off(const day::BatteryUse& use, const day::DayResult& day);

/// "not reached", "reached at 10:02:03", "not reached; no charge left at 10:02:03".
std::string battery_end_text(const day::BatteryUse& use, const day::DayResult& day);

/// Less, where what was never measured (NaN) is no lowest.
bool lower(double a_v, double b_v);

/// A value of something sent for `dwell_s`; NaN, which every output leaves out, when it was not sent at all.
double if_sent(double value, double dwell_s);

}  // namespace ampturn::report
