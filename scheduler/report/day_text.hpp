#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

struct TextStyle {
    bool colour = false;  // ANSI colours; words and letters say the same without them
};

/// The day for a terminal, at most 100 columns: what to know first, timeline, steps, batteries, a matrix of
/// verdicts with its legend, signal and error bars per station and frequency, cautions. Ends in a newline.
std::string day_text(const day::DayResult& day, TextStyle style = {});

/// The matrix of verdicts alone: a row per station, a letter per frequency (capital: the plan asks for it),
/// legend below. Never coloured.
std::string verdict_matrix_text(const day::DayResult& day);

/// About ten lines: what the day gives, in short. Ends in a newline.
std::string day_summary(const day::DayResult& day);

}  // namespace ampturn::report
