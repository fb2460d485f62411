#pragma once

#include <string>

#include "model/base/check_range.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::setup {

/// What the model refuses, as the error a person sees: the plan's key that the model's value came from, its
/// place in the file, and found and allowed in the key's own unit. A value made of several keys points at the
/// one most likely meant and is shown under the model's name. Takes the names of LayeredEarth, of TransmitterDesign
/// ("loop_a.pitch_m", "battery.cells") and of receivers numbered as the plan's stations.
base::InputError refused_value(const plan::Plan& plan, const model::RangeError& refused);

/// The same for another ground than the plan's: `key` is the table it stands in ("question.with_target").
base::InputError refused_ground(const plan::Plan& plan, const plan::Ground& ground, const std::string& key,
                                const model::RangeError& refused);

/// The same for a value of a step ("frequency_hz", "dwell_s"): at its own key, or at the sweep's where the
/// step takes it from there.
base::InputError refused_step(const plan::Plan& plan, const plan::Step& step,
                              const model::RangeError& refused);

}  // namespace ampturn::setup
