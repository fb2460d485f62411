#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::sheet {

/// What the pages of a field sheet have in common, as HTML.

const char* invented_mark(const day::DayResult& day);
/// A row of a table: a name and its value, escaped.
std::string row(const std::string& name, const std::string& value);
/// Of seconds after local midnight: "13:05:00".
std::string utc_clock(double local_s, double utc_offset_h);
/// What a plan that does not go as it is says first on every page; "" for one that goes.
std::string banner(const day::DayResult& day);

}  // namespace ampturn::sheet
