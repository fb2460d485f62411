#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::sheet {

/// A page for each receiver crew that sets up a station, where the plan has more than one crew, else "": its stations in the
/// order of the simulated day with ways, set-up, sweeps (local time and UTC, who else listens), packing up; table and checksum,
/// what to check at each station. For the field sheet.
std::string crew_pages(const plan::Plan& plan, const day::DayResult& day);

}  // namespace ampturn::sheet
