#pragma once

#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

/// The day as CSV tables, one file each, units at the end of the column names: table.csv (the sweep table),
/// timeline.csv, sweeps.csv, steps.csv (each step of each sweep as sent), battery.csv (samples through the
/// day), batteries.csv (use of each), sites.csv, stations.csv, judged.csv (each station and frequency).
/// Times: seconds after local midnight, and in the timeline also hh:mm:ss. Steps and stations are numbered
/// from 1 or named; rows keep the order of DayResult.
std::vector<base::NamedText> day_tables(const day::DayResult& day);

}  // namespace ampturn::report
