#pragma once

#include <string>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::setup {

/// What a sweep table is made for, and what its outputs are quoted at: the plan's own air at the start of the
/// day, in windings, electronics and battery alike, and a rested battery at half charge. Which tap or
/// capacitor gives the largest moment depends on both, so a table is made once, for one condition, and says
/// which; how the day's warming and the battery's course change what it gives is simulated, not re-planned.
struct PlanningCondition {
    double temperature_c;
    double state_of_charge_fraction;
};
PlanningCondition planning_condition_of(const plan::Plan& plan);

/// What the transmitter's operating points are solved at under that condition.
model::transmitter::Conditions transmitter_conditions(const model::transmitter::Transmitter& transmitter,
                                                      const PlanningCondition& condition);

/// What the loops carry most under: a rested, full battery and windings as cold as the air at the start of the day. What
/// must not be too small, keep-out distance and field strength, is taken there.
model::transmitter::Conditions largest_current_conditions(const plan::Plan& plan,
                                                          const model::transmitter::Transmitter& transmitter);

/// "made for -16 C and a battery at 50 % of its charge".
std::string made_for_text(const PlanningCondition& condition);

}  // namespace ampturn::setup
