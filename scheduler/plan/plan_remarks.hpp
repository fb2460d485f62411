#pragma once

#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/plan/remarks.hpp"

namespace ampturn::plan {

/// Lines inside the guard of a mains harmonic or of a named interferer, or in the band of a service to avoid (model/receiver/line_placement.hpp), or in a
/// wide gap of an own noise spectrum; grounds and sensors no station has, and what power lines come to; loops far from right angles; capacitors that nothing
/// discharges; lithium batteries in the frost; a day that ends on the next one; no leg to the base; ways between places without a leg.
/// Volts of a cell and of the bus and repeated frequencies: plausibility_remarks.hpp. In the order of the file.
std::vector<Remark> plan_remarks(const Plan& plan);

/// Whether any leg of the plan leads to the base, whose place no plan gives.
bool has_leg_to_base(const Day& day);

}  // namespace ampturn::plan
