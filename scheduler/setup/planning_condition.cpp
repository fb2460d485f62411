#include "scheduler/setup/planning_condition.hpp"

#include <fmt/format.h>

namespace ampturn::setup {

PlanningCondition planning_condition_of(const plan::Plan& plan) {
    return {.temperature_c = plan.day.air_temperature_c(plan.day.start_s), .state_of_charge_fraction = 0.5};
}

model::transmitter::Conditions transmitter_conditions(const model::transmitter::Transmitter& transmitter,
                                                      const PlanningCondition& condition) {
    return {.winding_c = {condition.temperature_c, condition.temperature_c},
            .electronics_c = condition.temperature_c,
            .battery = model::transmitter::battery_source(
                transmitter.design.battery, condition.state_of_charge_fraction, condition.temperature_c)};
}

model::transmitter::Conditions largest_current_conditions(
    const plan::Plan& plan, const model::transmitter::Transmitter& transmitter) {
    return transmitter_conditions(transmitter, {.temperature_c = plan.day.air_temperature_c(plan.day.start_s),
                                                .state_of_charge_fraction = 1});
}

std::string made_for_text(const PlanningCondition& condition) {
    return fmt::format("made for {:.3g} C and a battery at {:.3g} % of its charge", condition.temperature_c,
                       100 * condition.state_of_charge_fraction);
}

}  // namespace ampturn::setup
