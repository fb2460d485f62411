#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace ampturn::sim::site {

/// What an operator at the unit can do, with hands or voice. Each takes `duration_s` of virtual time, in
/// which no other work of the hands can begin; the controls of the unit take none and work always.
enum class Action {
    // controls of the unit
    key_arm,
    key_disarm,
    go,
    stop,
    emergency_stop,
    release_emergency_stop,
    acknowledge,
    // battery
    measure_battery,
    swap_leads,
    connect_battery_positive,
    connect_battery_negative,
    disconnect_battery_negative,
    disconnect_battery_positive,
    swap_battery,
    warm_battery,
    // loops
    measure_loop_a,
    measure_loop_b,
    connect_loop_a,
    connect_loop_b,
    disconnect_loop_a,
    disconnect_loop_b,
    dry_connectors,
    remake_connectors,
    replace_loop_a,
    replace_loop_b,
    // around the unit
    check_area,
    send_people_away,
    call_receiver,
    check_clock,
    wait_for_lock,
    clear_vents,
    take_shelter,
    leave_shelter,
};

/// What an action is for.
enum class Purpose {
    operate,  ///< the front, the leads, the plugs, the operator
    look,     ///< shows how something is
    mend      ///< takes a trouble away, where there is one
};

struct ActionInfo {
    Action action;
    const char* name;     // in drills, logs and messages
    const char* label;    // on the panel
    double duration_s;    // 0: a control
    bool touches_loop;    // bare hands on the loop circuit: deadly while it is energised
    bool touches_supply;  // or on the battery posts: arcs under load
    Purpose purpose = Purpose::operate;
};

const ActionInfo& info(Action action);
std::optional<Action> action_named(std::string_view name);
/// "key_arm, key_disarm, ..."
std::string all_action_names();

}  // namespace ampturn::sim::site
