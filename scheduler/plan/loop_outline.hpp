#pragma once

#include "model/loop/loop.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// The outline of a plan's loop, x to the right and y up as seen looking against the normal. A polygon's
/// vertices are taken as they are; std::invalid_argument when they make no loop.
model::loop::LoopOutline outline_of(const Loop& loop);

/// How far the lowest point of the loop lies below its centre, tilt included.
double loop_drop_m(const Loop& loop);

}  // namespace ampturn::plan
