#include <fmt/format.h>

#include <array>
#include <cmath>
#include <span>
#include <utility>

#include "firmware-sim/site/front_controls.hpp"
#include "firmware-sim/site/site.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::sim::site {

using run::name_of;

namespace {

constexpr double safe_capacitor_v = 50;  // IEC 61140: 50 V a.c. is the touch voltage limit (from memory)

bool energised(core::State state) { return core::may_energise(state); }

/// The faults that are gone once the action is done.
std::span<const Fault> mended_by(Action action) {
    static constexpr std::array lead{Fault::battery_lead_off};
    static constexpr std::array battery{Fault::weak_battery, Fault::cold_battery};  // the spare was kept warm
    static constexpr std::array cold{Fault::cold_battery};
    static constexpr std::array wet{Fault::wet_connector_a, Fault::wet_connector_b};
    static constexpr std::array loose{Fault::loose_connector_a, Fault::loose_connector_b};
    static constexpr std::array cable_a{Fault::open_loop_a, Fault::shorted_loop_a};
    static constexpr std::array cable_b{Fault::open_loop_b, Fault::shorted_loop_b};
    static constexpr std::array people{Fault::person_in_ring};
    static constexpr std::array clock{Fault::clock_drift};
    static constexpr std::array vents{Fault::blocked_vents};
    switch (action) {
        case Action::connect_battery_negative:
            return lead;
        case Action::swap_battery:
            return battery;
        case Action::warm_battery:
            return cold;
        case Action::dry_connectors:
            return wet;
        case Action::remake_connectors:
            return loose;
        case Action::replace_loop_a:
            return cable_a;
        case Action::replace_loop_b:
            return cable_b;
        case Action::send_people_away:
            return people;
        case Action::wait_for_lock:
            return clock;
        case Action::clear_vents:
            return vents;
        default:  // mends nothing
            return {};
    }
}

}  // namespace

ActionReply Site::act(Action action, const std::string& who) {
    if (const auto control_pressed = control_of(action)) {
        const core::State before = state();
        const core::Reply reply = control(*control_pressed, who);
        return {reply == core::Reply::accepted, why_not(reply, *control_pressed, before)};
    }
    const ActionInfo& about = info(action);
    std::string why = action_in_progress_
                          ? fmt::format("hands are busy for {:.0f} s: {}", std::ceil(action_left_s()),
                                        info(*action_in_progress_).label)
                          : why_impossible(action);
    if (!why.empty()) {
        happen(EventType::tried(action), who, why);
        return {false, why};
    }
    notice_dangers(action, who);
    action_in_progress_ = action;
    acting_ = who;
    action_ends_ = in_seconds(about.duration_s);
    return {true, fmt::format("{} ({:g} s)", about.label, about.duration_s)};
}

std::string Site::why_impossible(Action action) const {
    const bool sheltered = in_shelter_ && action != Action::leave_shelter;
    if (sheltered) return "you are in the shelter";
    switch (action) {
        case Action::connect_battery_positive:
            return positive_ ? "positive is connected already" : "";
        case Action::connect_battery_negative:
            return negative_ ? "negative is connected already" : "";
        case Action::disconnect_battery_positive:
            return positive_ ? "" : "positive is off already";
        case Action::disconnect_battery_negative:
            return negative_ ? "" : "negative is off already";
        case Action::swap_leads:
        case Action::swap_battery:
        case Action::warm_battery:
            return positive_ || negative_ ? "take both leads off first, negative before positive" : "";
        case Action::connect_loop_a:
            return plugged_[0] ? "loop A is plugged in already" : "";
        case Action::connect_loop_b:
            return plugged_[1] ? "loop B is plugged in already" : "";
        case Action::disconnect_loop_a:
            return plugged_[0] ? "" : "loop A is unplugged already";
        case Action::disconnect_loop_b:
            return plugged_[1] ? "" : "loop B is unplugged already";
        case Action::measure_loop_a:
        case Action::replace_loop_a:
            return plugged_[0] ? "unplug loop A first" : "";
        case Action::measure_loop_b:
        case Action::replace_loop_b:
            return plugged_[1] ? "unplug loop B first" : "";
        case Action::dry_connectors:
            return plugged_[0] || plugged_[1] ? "unplug both loops first" : "";
        case Action::check_clock:
        case Action::wait_for_lock:
            return supplied() ? "" : "the unit has no supply";
        case Action::take_shelter:
            return in_shelter_ ? "you are in the shelter already" : "";
        case Action::leave_shelter:
            return in_shelter_ ? "" : "you are not in the shelter";
        default:
            return "";
    }
}

void Site::notice_dangers(Action action, const std::string& who) {
    const ActionInfo& about = info(action);
    const core::State now = state();
    if (about.touches_loop) {
        if (energised(now)) {
            happen(EventType::danger(Danger::touched_energised_loop), who,
                   fmt::format("{} while the loop was energised", about.label));
        } else if (now == core::State::armed || now == core::State::warning) {
            happen(EventType::danger(Danger::touched_while_armed), who,
                   fmt::format("{} while the unit was {}", about.label, name_of(now)));
        } else if (unit_.plant().capacitor_v > safe_capacitor_v) {
            happen(EventType::danger(Danger::touched_charged_capacitor), who,
                   fmt::format("{} with {:.0f} V left on the series capacitor", about.label,
                               unit_.plant().capacitor_v));
        }
    }
    if (about.touches_supply && energised(now)) {
        happen(EventType::danger(Danger::broke_supply_under_load), who,
               fmt::format("{} while sending: arc at the clip", about.label));
    }
    if (action == Action::connect_battery_negative && !positive_) {
        happen(EventType::danger(Danger::negative_first), who,
               "negative connected before positive: a slipping tool can short the battery");
    }
    if (action == Action::disconnect_battery_positive && negative_) {
        happen(EventType::danger(Danger::positive_off_first), who,
               "positive taken off before negative: a slipping tool can short the battery");
    }
}

void Site::found(Finding finding, const std::string& text) {
    happen(EventType::found(finding), acting_, text);
}

void Site::inspect_battery() {
    const model::transmitter::BatteryBank& bank = transmitter_.setup.transmitter.design.battery;
    const double temperature_c = transmitter_.air_c + unit_.plant().faults.battery_temperature_offset_k;
    const model::transmitter::KineticWells wells = model::transmitter::wells(bank, temperature_c);
    const double soc = model::transmitter::soc_available(wells, unit_.plant().charge);
    const double rest_v = model::transmitter::battery_source(bank, soc, temperature_c).ocv_v;
    if (has(Fault::reversed_leads)) {
        found(Finding::battery_reversed,
              fmt::format("{:.2f} V: the positive clip is on the negative lead", -rest_v));
    } else if (has(Fault::weak_battery)) {
        found(Finding::battery_low,
              fmt::format("{:.2f} V at rest, falls at once with the test lamp: weak", rest_v));
    } else if (has(Fault::cold_battery)) {
        found(Finding::battery_low,
              fmt::format("{:.2f} V at rest, but the case is at {:.0f} C: little of its charge can be had",
                          rest_v, temperature_c));
    } else if (soc < 0.4) {
        found(Finding::battery_low, fmt::format("{:.2f} V at rest: low", rest_v));
    } else {
        found(Finding::battery_good, fmt::format("{:.2f} V at rest, polarity right", rest_v));
    }
}

void Site::inspect_loop(std::size_t index) {
    const bool a = index == 0;
    const auto& taps = a ? transmitter_.setup.transmitter.taps_a : transmitter_.setup.transmitter.taps_b;
    const model::loop::LoopTap& tap = taps.back();
    const double ohm = tap.resistance_dc_20c_ohm + tap.lead_resistance_ohm;
    if (has(a ? Fault::open_loop_a : Fault::open_loop_b)) {
        found(a ? Finding::loop_a_open : Finding::loop_b_open, "no continuity: the cable is broken");
    } else if (has(a ? Fault::loose_connector_a : Fault::loose_connector_b)) {
        found(a ? Finding::loop_a_open : Finding::loop_b_open,
              fmt::format("{:.2f} ohm, and nothing when the plug is moved: loose", ohm));
    } else if (has(a ? Fault::shorted_loop_a : Fault::shorted_loop_b)) {
        found(a ? Finding::loop_a_shorted : Finding::loop_b_shorted,
              fmt::format("0.02 ohm where {:.2f} is right: crushed", ohm));
    } else if (has(a ? Fault::wet_connector_a : Fault::wet_connector_b)) {
        found(a ? Finding::loop_a_leaking : Finding::loop_b_leaking,
              fmt::format("{:.2f} ohm, insulation 0.08 Mohm where 1 is asked: wet plug", ohm + 0.6));
    } else {
        found(a ? Finding::loop_a_good : Finding::loop_b_good,
              fmt::format("{:.2f} ohm, insulation above 20 Mohm", ohm));
    }
}

void Site::inspect_area() {
    area_checked_ = !has(Fault::person_in_ring);
    if (area_checked_) {
        found(Finding::area_clear, "nobody and no animal inside the keep-out ring");
    } else {
        found(Finding::area_not_clear, "somebody is inside the keep-out ring");
    }
}

void Site::ask_receiver() {
    if (has(Fault::receiver_not_ready) || now_s() < receiver_ready_after_s_) {
        found(Finding::receiver_not_ready, "receiver crew: wait, not recording yet");
    } else {
        found(Finding::receiver_ready, "receiver crew: recording, table name and start read back");
    }
}

void Site::inspect_clock() {
    if (clock_locked()) {
        found(Finding::clock_locked, "locked to the second marks");
    } else {
        found(Finding::clock_not_locked, "not locked: the reference drifts");
    }
}

/// What the action moves: leads, plugs, the operator.
void Site::operate(Action action) {
    switch (action) {
        case Action::swap_leads:
            set_fault(Fault::reversed_leads, !has(Fault::reversed_leads), acting_);
            break;
        case Action::connect_battery_positive:
            positive_ = true;
            break;
        case Action::connect_battery_negative:
            negative_ = true;
            break;
        case Action::disconnect_battery_negative:
            negative_ = false;
            break;
        case Action::disconnect_battery_positive:
            positive_ = false;
            break;
        case Action::swap_battery:
            ++batteries_used_;
            break;
        case Action::connect_loop_a:
            plugged_[0] = true;
            break;
        case Action::connect_loop_b:
            plugged_[1] = true;
            break;
        case Action::disconnect_loop_a:
            plugged_[0] = false;
            break;
        case Action::disconnect_loop_b:
            plugged_[1] = false;
            break;
        case Action::take_shelter:
            in_shelter_ = true;
            break;
        case Action::leave_shelter:
            in_shelter_ = false;
            break;
        default:  // moves nothing: measures, asks or mends
            break;
    }
}

/// What the action shows to the one who does it.
void Site::inspect(Action action) {
    switch (action) {
        case Action::measure_battery:
            return inspect_battery();
        case Action::measure_loop_a:
            return inspect_loop(0);
        case Action::measure_loop_b:
            return inspect_loop(1);
        case Action::check_area:
            return inspect_area();
        case Action::call_receiver:
            return ask_receiver();
        case Action::check_clock:
            return inspect_clock();
        default:  // shows nothing
            return;
    }
}

void Site::finish_action() {
    const Action action = *std::exchange(action_in_progress_, std::nullopt);
    action_ends_ = core::Instant::never();
    happen(EventType::did(action), acting_, info(action).label);
    operate(action);
    for (const Fault fault : mended_by(action)) set_fault(fault, false, acting_);
    if (action == Action::swap_battery)
        model::transmitter::exchange_battery(transmitter_.setup.transmitter, unit_.plant(), 1);
    inspect(action);
    apply_faults();
    notice_state();
}

}  // namespace ampturn::sim::site
