#pragma once

#include <vector>

#include "scheduler/plan/remarks.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::setup::remarks {

/// What is allowed and yet worth a second look, and takes more than the plan's own keys to see: a wire whose low-pass biases
/// E, dipoles long against the skin depth, ground that is not flat, a battery colder than its capacity is known for or may be used at, a set whose
/// volts can be felt, a ramp so short that tuned steps overshoot. In the order of the file.
std::vector<plan::Remark> survey_remarks(const plan::Plan& plan, const SurveySetup& setup);

/// The coldest a battery gets while the crews are out, C.
double coldest_battery_c(const plan::Plan& plan);

}  // namespace ampturn::setup::remarks
