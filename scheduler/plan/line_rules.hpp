#pragma once

#include <vector>

#include "model/receiver/lines.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// The receiver's window as the model has it.
model::Window window_of(Window window);

/// What a plan says about lines: its clock, receiver, mains and interferers. Whoever asks whether a frequency
/// is clean asks these rules.
model::LineRules line_rules_of(const Plan& plan);

/// The frequencies of the plan's table judged, each once.
std::vector<model::LineVerdict> judge_lines_of(const Plan& plan);

}  // namespace ampturn::plan
