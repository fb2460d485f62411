#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace ampturn::sim::site {

/// What an operator at the unit can do, with hands or voice, and what the receiver crew can. Each takes `duration_s` of
/// virtual time, in which no other work of the same hands can begin; the controls of the unit take none and work always.
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
    check_plugs,
    set_plugs_right,
    measure_capacitor,
    replace_capacitor,
    // table
    read_back_table,
    load_table,
    // around the unit
    check_area,
    send_people_away,
    call_receiver,
    check_clock,
    wait_for_lock,
    clear_vents,
    look_at_masts,
    raise_mast,
    change_radio,
    ask_crew_to_move,
    take_shelter,
    leave_shelter,
    // by the receiver crew
    start_recording,
    stop_recording,
    look_at_records,
    move_lines,
};

inline constexpr int action_count = static_cast<int>(Action::move_lines) + 1;

/// Whose hands. Each seat has two of its own; the receiver crew works at its lines, far from the unit.
enum class Seat { transmitter, receiver };
inline constexpr std::size_t seat_count = 2;
/// "transmitter", "receiver"
std::string_view name_of(Seat seat);
std::optional<Seat> seat_named(std::string_view name);

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
    Seat seat = Seat::transmitter;
};

const ActionInfo& info(Action action);
std::optional<Action> action_named(std::string_view name);
/// "key_arm, key_disarm, ..."
std::string all_action_names();

}  // namespace ampturn::sim::site
