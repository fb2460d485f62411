#pragma once

#include "model/ground/earth.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// The ground a plan describes, as the field engine takes it; std::invalid_argument where the engine refuses a value.
model::LayeredEarth earth_of(const Ground& ground);
/// The same for the plan's own ground, with the key in an InputError.
model::LayeredEarth earth_of(const Plan& plan);

}  // namespace ampturn::plan
