#pragma once

#include <string>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/reach/reach.hpp"

namespace ampturn::reach {

/// For a terminal, at most 100 columns: windows of each frequency in all directions and by sector, what would
/// open those that are shut.
std::string reach_text(const Reach& reach, bool colour);

/// RFC 8259; units in the keys, numbers to nine digits, null for what is infinite; schema "ampturn.reach" 1.
std::string reach_json_text(const Reach& reach);

/// reach.csv: a row per frequency and sector with the nearest far-field offset, the farthest with enough signal and what would
/// open a window; reach_intervals.csv: every interval.
std::vector<base::NamedText> reach_tables(const Reach& reach);

/// One self-contained page: offset against frequency with the usable window filled, stations as dots, the
/// rule of thumb beside it; tables.
std::string reach_html(const Reach& reach);

/// What would open a shut window, in words; "" when the window is open.
std::string opening_text(const ReachCell& cell, const Reach& reach, const ReachFrequency& frequency);

}  // namespace ampturn::reach
