#pragma once

#include <vector>

#include "scheduler/weigh/stock.hpp"
#include "scheduler/weigh/weigh.hpp"

namespace ampturn::weigh {

/// What one sender gives at one step with each capacitor.
struct StepCells {
    std::vector<DrivenStep> with;     // [0] none, [1 + i] joined capacitor i; no current: it cannot be driven
    bool insulation_refused = false;  // a tap would have been driven but for the volts of its insulation
};

/// Solves a sender, whose plan this is (plan_of()), at every step with every joined capacitor on its best tap.
std::vector<StepCells> driven_steps(const plan::Plan& changed, const std::vector<JoinedCapacitor>& joined,
                                    std::optional<double> insulation_v_rms);

/// How many operating points that takes.
std::size_t points_of(const plan::Plan& changed, std::size_t joined_count);

}  // namespace ampturn::weigh
