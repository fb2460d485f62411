#include "firmware-sim/site/action.hpp"

#include <array>
#include <cstddef>

namespace ampturn::sim::site {
namespace {

// Times are shortened estimates for training: long enough to cost something, short enough to be waited for
// (common practice, no source).
constexpr std::array infos{
    ActionInfo{Action::key_arm, "key_arm", "Turn key to ARM", 0, false, false},
    ActionInfo{Action::key_disarm, "key_disarm", "Turn key to SAFE", 0, false, false},
    ActionInfo{Action::go, "go", "Go", 0, false, false},
    ActionInfo{Action::stop, "stop", "Stop", 0, false, false},
    ActionInfo{Action::emergency_stop, "emergency_stop", "Emergency stop", 0, false, false},
    ActionInfo{Action::release_emergency_stop, "release_emergency_stop", "Twist to release", 0, false, false},
    ActionInfo{Action::acknowledge, "acknowledge", "Acknowledge trip", 0, false, false},
    ActionInfo{Action::measure_battery, "measure_battery", "Meter on battery", 5, false, false,
               Purpose::look},
    ActionInfo{Action::swap_leads, "swap_leads", "Swap lead clips", 10, false, true, Purpose::mend},
    ActionInfo{Action::connect_battery_positive, "connect_battery_positive", "Connect positive", 4, false,
               true},
    ActionInfo{Action::connect_battery_negative, "connect_battery_negative", "Connect negative", 4, false,
               true},
    ActionInfo{Action::disconnect_battery_negative, "disconnect_battery_negative", "Disconnect negative", 4,
               false, true},
    ActionInfo{Action::disconnect_battery_positive, "disconnect_battery_positive", "Disconnect positive", 4,
               false, true},
    ActionInfo{Action::swap_battery, "swap_battery", "Change the battery", 60, false, true, Purpose::mend},
    ActionInfo{Action::warm_battery, "warm_battery", "Cover the battery", 120, false, false, Purpose::mend},
    ActionInfo{Action::measure_loop_a, "measure_loop_a", "Meter on loop A", 8, true, false, Purpose::look},
    ActionInfo{Action::measure_loop_b, "measure_loop_b", "Meter on loop B", 8, true, false, Purpose::look},
    ActionInfo{Action::connect_loop_a, "connect_loop_a", "Plug in loop A", 5, true, false},
    ActionInfo{Action::connect_loop_b, "connect_loop_b", "Plug in loop B", 5, true, false},
    ActionInfo{Action::disconnect_loop_a, "disconnect_loop_a", "Unplug loop A", 5, true, false},
    ActionInfo{Action::disconnect_loop_b, "disconnect_loop_b", "Unplug loop B", 5, true, false},
    ActionInfo{Action::dry_connectors, "dry_connectors", "Dry the plugs", 30, true, false, Purpose::mend},
    ActionInfo{Action::remake_connectors, "remake_connectors", "Remake the plugs", 30, true, false,
               Purpose::mend},
    ActionInfo{Action::replace_loop_a, "replace_loop_a", "Lay spare cable A", 120, true, false,
               Purpose::mend},
    ActionInfo{Action::replace_loop_b, "replace_loop_b", "Lay spare cable B", 120, true, false,
               Purpose::mend},
    ActionInfo{Action::check_plugs, "check_plugs", "Look at plug tags", 6, false, false, Purpose::look},
    ActionInfo{Action::set_plugs_right, "set_plugs_right", "Set plugs to tags", 20, true, false,
               Purpose::mend},
    ActionInfo{Action::measure_capacitor, "measure_capacitor", "Meter on capacitors", 10, true, false,
               Purpose::look},
    ActionInfo{Action::replace_capacitor, "replace_capacitor", "Fit spare capacitors", 40, true, false,
               Purpose::mend},
    ActionInfo{Action::read_back_table, "read_back_table", "Read checksum", 4, false, false, Purpose::look},
    ActionInfo{Action::load_table, "load_table", "Load sheet's table", 15, false, false, Purpose::mend},
    ActionInfo{Action::check_area, "check_area", "Walk the ring", 20, false, false, Purpose::look},
    ActionInfo{Action::send_people_away, "send_people_away", "Ask people to leave", 15, false, false,
               Purpose::mend},
    ActionInfo{Action::call_receiver, "call_receiver", "Call receiver crew", 8, false, false, Purpose::look},
    ActionInfo{Action::check_clock, "check_clock", "Look at the clock", 3, false, false, Purpose::look},
    ActionInfo{Action::wait_for_lock, "wait_for_lock", "Move antenna, wait", 60, false, false, Purpose::mend},
    ActionInfo{Action::clear_vents, "clear_vents", "Clear vents, shade", 20, false, false, Purpose::mend},
    ActionInfo{Action::look_at_masts, "look_at_masts", "Look at the masts", 8, false, false, Purpose::look},
    ActionInfo{Action::raise_mast, "raise_mast", "Raise the mast", 180, true, false, Purpose::mend},
    ActionInfo{Action::change_radio, "change_radio", "Fresh radio battery", 30, false, false, Purpose::mend},
    ActionInfo{Action::ask_crew_to_move, "ask_crew_to_move", "Ask crew to move", 240, false, false,
               Purpose::mend},
    ActionInfo{Action::take_shelter, "take_shelter", "Take shelter", 30, false, false},
    ActionInfo{Action::leave_shelter, "leave_shelter", "Leave the shelter", 30, false, false},
    ActionInfo{Action::start_recording, "start_recording", "Start recording", 6, false, false,
               Purpose::operate, Seat::receiver},
    ActionInfo{Action::stop_recording, "stop_recording", "Stop recording", 3, false, false, Purpose::operate,
               Seat::receiver},
    ActionInfo{Action::look_at_records, "look_at_records", "Look at the records", 5, false, false,
               Purpose::look, Seat::receiver},
    ActionInfo{Action::move_lines, "move_lines", "Move the lines", 240, false, false, Purpose::mend,
               Seat::receiver},
};

constexpr bool in_order() {
    for (std::size_t i = 0; i < infos.size(); ++i) {
        if (infos[i].action != static_cast<Action>(i)) return false;
    }
    return true;
}
static_assert(in_order());

}  // namespace

const ActionInfo& info(Action action) { return infos[static_cast<std::size_t>(action)]; }

std::optional<Action> action_named(std::string_view name) {
    for (const ActionInfo& one : infos) {
        if (name == one.name) return one.action;
    }
    return std::nullopt;
}

std::string_view name_of(Seat seat) { return seat == Seat::receiver ? "receiver" : "transmitter"; }

std::optional<Seat> seat_named(std::string_view name) {
    for (const Seat seat : {Seat::transmitter, Seat::receiver})
        if (name == name_of(seat)) return seat;
    return std::nullopt;
}

std::string all_action_names() {
    std::string names;
    for (const ActionInfo& one : infos) names += std::string(names.empty() ? "" : ", ") + one.name;
    return names;
}

}  // namespace ampturn::sim::site
