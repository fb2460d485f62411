#pragma once

#include <vector>

#include "model/receiver/line_placement.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// The receiver's window as the model has it.
model::receiver::Window window_of(Window window);

/// What a plan says about lines: its clock, receiver, mains and the interferers of all stations. Whoever asks whether a frequency
/// is clean asks these rules.
model::receiver::PlacementRules placement_rules_of(const Plan& plan);

/// The frequencies of the plan's table judged, each once.
std::vector<model::receiver::PlacementVerdict> judge_placement_of(const Plan& plan);

}  // namespace ampturn::plan
