#pragma once

#include <string>

#include "model/ground/earth.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// The ground a plan describes, as the field engine takes it; InputError at the plan's key where the engine
/// refuses a value.
model::LayeredEarth earth_of(const Plan& plan);
/// The same for another ground of the plan: `key` is the table it stands in ("question.with_target").
model::LayeredEarth earth_of(const Plan& plan, const Ground& ground, const std::string& key);

}  // namespace ampturn::plan
