#pragma once

#include <string>
#include <vector>

#include "model/ground/earth.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::setup {

/// The ground of a plan's [earth], as the field engine takes it; InputError at the plan's key where the engine
/// refuses a value.
model::ground::LayeredEarth earth_of(const plan::Plan& plan);
/// Those that stations can stand on instead, in the order of the plan.
std::vector<model::ground::LayeredEarth> grounds_of(const plan::Plan& plan);
/// The same for another ground of the plan: `key` is the table it stands in ("question.with_target").
model::ground::LayeredEarth earth_of(const plan::Plan& plan, const plan::Ground& ground,
                                     const std::string& key);

}  // namespace ampturn::setup
