#pragma once

#include <array>
#include <optional>
#include <string>

#include "firmware-sim/site/action.hpp"
#include "scheduler/core/sequencer.hpp"

namespace ampturn::sim::site {

/// The controls of the unit's front: what the operator does and what the core is told.
struct FrontControl {
    core::Control control;
    Action action;
};
inline constexpr std::array front_controls{
    FrontControl{core::Control::arm, Action::key_arm},
    FrontControl{core::Control::disarm, Action::key_disarm},
    FrontControl{core::Control::go, Action::go},
    FrontControl{core::Control::stop, Action::stop},
    FrontControl{core::Control::emergency_stop, Action::emergency_stop},
    FrontControl{core::Control::emergency_reset, Action::release_emergency_stop},
    FrontControl{core::Control::acknowledge, Action::acknowledge},
};
static_assert(front_controls.size() == core::control_count);

constexpr Action action_of(core::Control control) {
    return front_controls[static_cast<std::size_t>(control)].action;
}

/// Nothing for work of the hands.
constexpr std::optional<core::Control> control_of(Action action) {
    for (const FrontControl& one : front_controls) {
        if (one.action == action) return one.control;
    }
    return std::nullopt;
}

/// Why the core does not take a control now, and what it takes instead; for people.
std::string why_not(core::Reply reply, core::Control control, core::State state);

constexpr bool front_controls_are_in_order() {
    for (std::size_t i = 0; i < front_controls.size(); ++i) {
        if (static_cast<std::size_t>(front_controls[i].control) != i) return false;
    }
    return true;
}
static_assert(front_controls_are_in_order());

}  // namespace ampturn::sim::site
