#pragma once

#include <vector>

#include "model/receiver/line_placement.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// The receiver's window as the model has it.
model::receiver::Window window_of(Window window);

/// The services that a plan with [emission] keeps clear of: those of model/emission/avoided_services.hpp, if it wants them,
/// then its own. Without [emission]: none.
std::vector<AvoidedService> avoided_services_of(const Plan& plan);

/// What a plan says about lines: its clock, receiver, mains, the interferers of all stations, services to avoid. Whoever asks whether a frequency
/// is clean asks these rules.
model::receiver::PlacementRules placement_rules_of(const Plan& plan);

/// The frequencies of the plan's table judged, each once.
std::vector<model::receiver::PlacementVerdict> judge_placement_of(const Plan& plan);

}  // namespace ampturn::plan
