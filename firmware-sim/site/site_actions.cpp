#include <fmt/format.h>

#include <cmath>

#include "firmware-sim/site/site.hpp"
#include "firmware-sim/site/words.hpp"

namespace ampturn::sim {
namespace {

constexpr double safe_capacitor_v = 50;  // IEC 61140: 50 V a.c. is the touch voltage limit (from memory)

bool energised(core::State state) { return core::may_energise(state); }

}  // namespace

ActionReply Site::act(Action action, const std::string& who) {
    const ActionInfo& about = info(action);
    if (about.hands_s == 0) return press(action, who);
    std::string why =
        busy_ ? fmt::format("hands are busy for {:.0f} s: {}", std::ceil(busy_left_s()), info(*busy_).label)
              : why_impossible(action);
    if (!why.empty()) {
        happen(fmt::format("tried:{}", about.name), who, why);
        return {false, why};
    }
    notice_dangers(action, who);
    busy_ = action;
    busy_who_ = who;
    busy_until_ = in_seconds(about.hands_s);
    return {true, fmt::format("{} ({:g} s)", about.label, about.hands_s)};
}

ActionReply Site::press(Action action, const std::string& who) {
    core::Control wanted = core::Control::stop;
    switch (action) {
        case Action::key_arm:
            wanted = core::Control::arm;
            break;
        case Action::key_disarm:
            wanted = core::Control::disarm;
            break;
        case Action::go:
            wanted = core::Control::go;
            break;
        case Action::stop:
            wanted = core::Control::stop;
            break;
        case Action::emergency_stop:
            wanted = core::Control::emergency_stop;
            break;
        case Action::release_emergency_stop:
            wanted = core::Control::emergency_reset;
            break;
        default:
            wanted = core::Control::acknowledge;
            break;
    }
    const core::Reply reply = control(wanted, who);
    return {reply == core::Reply::accepted, std::string(explain(reply))};
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
            happen("danger:touched_energised_loop", who,
                   fmt::format("{} while the loop was energised", about.label));
        } else if (now == core::State::armed || now == core::State::warning) {
            happen("danger:touched_while_armed", who,
                   fmt::format("{} while the unit was {}", about.label, word_of(now)));
        } else if (unit_.plant().capacitor_v > safe_capacitor_v) {
            happen("danger:touched_charged_capacitor", who,
                   fmt::format("{} with {:.0f} V left on the series capacitor", about.label,
                               unit_.plant().capacitor_v));
        }
    }
    if (about.touches_supply && energised(now)) {
        happen("danger:broke_supply_under_load", who,
               fmt::format("{} while sending: arc at the clip", about.label));
    }
    if (action == Action::connect_battery_negative && !positive_) {
        happen("danger:negative_first", who,
               "negative connected before positive: a slipping tool can short the battery");
    }
    if (action == Action::disconnect_battery_positive && negative_) {
        happen("danger:positive_off_first", who,
               "positive taken off before negative: a slipping tool can short the battery");
    }
}

void Site::found(const std::string& word, const std::string& text) {
    happen("found:" + word, busy_who_, text);
}

void Site::find_battery() {
    const model::BatteryBank& bank = kit_.setup.rig.design.battery;
    const double temperature_c = kit_.air_c + unit_.plant().faults.battery_temperature_offset_k;
    const model::KineticWells wells = model::wells(bank, temperature_c);
    const double soc = model::soc_available(wells, unit_.plant().charge);
    const double rest_v = model::battery_source(bank, soc, temperature_c).ocv_v;
    if (has(Fault::reversed_leads)) {
        found("battery_reversed",
              fmt::format("{:.2f} V: the positive clip is on the negative lead", -rest_v));
    } else if (has(Fault::weak_battery)) {
        found("battery_low", fmt::format("{:.2f} V at rest, falls at once with the test lamp: weak", rest_v));
    } else if (has(Fault::cold_battery)) {
        found("battery_low",
              fmt::format("{:.2f} V at rest, but the case is at {:.0f} C: little of its charge can be had",
                          rest_v, temperature_c));
    } else if (soc < 0.4) {
        found("battery_low", fmt::format("{:.2f} V at rest: low", rest_v));
    } else {
        found("battery_good", fmt::format("{:.2f} V at rest, polarity right", rest_v));
    }
}

void Site::find_loop(std::size_t index) {
    const char letter = index == 0 ? 'a' : 'b';
    const bool open = has(index == 0 ? Fault::open_loop_a : Fault::open_loop_b);
    const bool loose = has(index == 0 ? Fault::loose_connector_a : Fault::loose_connector_b);
    const bool shorted = has(index == 0 ? Fault::shorted_loop_a : Fault::shorted_loop_b);
    const bool wet = has(index == 0 ? Fault::wet_connector_a : Fault::wet_connector_b);
    const auto& taps = index == 0 ? kit_.setup.rig.taps_a : kit_.setup.rig.taps_b;
    const model::LoopTap& tap = taps.back();
    const double ohm = tap.resistance_dc_20c_ohm + tap.lead_resistance_ohm;
    if (open) {
        found(fmt::format("loop_{}_open", letter), "no continuity: the cable is broken");
    } else if (loose) {
        found(fmt::format("loop_{}_open", letter),
              fmt::format("{:.2f} ohm, and nothing when the plug is moved: loose", ohm));
    } else if (shorted) {
        found(fmt::format("loop_{}_shorted", letter),
              fmt::format("0.02 ohm where {:.2f} is right: crushed", ohm));
    } else if (wet) {
        found(fmt::format("loop_{}_leaking", letter),
              fmt::format("{:.2f} ohm, insulation 0.08 Mohm where 1 is asked: wet plug", ohm + 0.6));
    } else {
        found(fmt::format("loop_{}_good", letter), fmt::format("{:.2f} ohm, insulation above 20 Mohm", ohm));
    }
}

void Site::finish_action() {
    const Action action = *busy_;
    busy_.reset();
    busy_until_ = core::Instant::never();
    happen(fmt::format("did:{}", info(action).name), busy_who_, info(action).label);
    bool plant_changed = true;
    switch (action) {
        case Action::measure_battery:
            find_battery();
            break;
        case Action::swap_leads:
            set_fault(Fault::reversed_leads, !has(Fault::reversed_leads), busy_who_);
            break;
        case Action::connect_battery_positive:
            positive_ = true;
            break;
        case Action::connect_battery_negative:
            negative_ = true;
            set_fault(Fault::battery_lead_off, false, busy_who_);
            break;
        case Action::disconnect_battery_negative:
            negative_ = false;
            break;
        case Action::disconnect_battery_positive:
            positive_ = false;
            break;
        case Action::swap_battery:
            ++batteries_used_;
            set_fault(Fault::weak_battery, false, busy_who_);
            set_fault(Fault::cold_battery, false, busy_who_);  // the spare was kept warm
            model::exchange_battery(kit_.setup.rig, unit_.plant(), 1);
            break;
        case Action::warm_battery:
            set_fault(Fault::cold_battery, false, busy_who_);
            break;
        case Action::measure_loop_a:
            find_loop(0);
            break;
        case Action::measure_loop_b:
            find_loop(1);
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
        case Action::dry_connectors:
            set_fault(Fault::wet_connector_a, false, busy_who_);
            set_fault(Fault::wet_connector_b, false, busy_who_);
            break;
        case Action::remake_connectors:
            set_fault(Fault::loose_connector_a, false, busy_who_);
            set_fault(Fault::loose_connector_b, false, busy_who_);
            break;
        case Action::replace_loop_a:
            set_fault(Fault::open_loop_a, false, busy_who_);
            set_fault(Fault::shorted_loop_a, false, busy_who_);
            break;
        case Action::replace_loop_b:
            set_fault(Fault::open_loop_b, false, busy_who_);
            set_fault(Fault::shorted_loop_b, false, busy_who_);
            break;
        case Action::check_area:
            area_checked_ = !has(Fault::person_in_ring);
            if (area_checked_) {
                found("area_clear", "nobody and no animal inside the keep-out ring");
            } else {
                found("area_not_clear", "somebody is inside the keep-out ring");
            }
            break;
        case Action::send_people_away:
            set_fault(Fault::person_in_ring, false, busy_who_);
            break;
        case Action::call_receiver:
            if (has(Fault::receiver_not_ready) || now_s() < receiver_ready_after_s_) {
                found("receiver_not_ready", "receiver crew: wait, not recording yet");
            } else {
                found("receiver_ready", "receiver crew: recording, table name and start read back");
            }
            break;
        case Action::check_clock:
            if (clock_locked()) {
                found("clock_locked", "locked to the second marks");
            } else {
                found("clock_not_locked", "not locked: the reference drifts");
            }
            break;
        case Action::wait_for_lock:
            set_fault(Fault::clock_drift, false, busy_who_);
            break;
        case Action::clear_vents:
            set_fault(Fault::blocked_vents, false, busy_who_);
            break;
        case Action::take_shelter:
            in_shelter_ = true;
            break;
        case Action::leave_shelter:
            in_shelter_ = false;
            break;
        default:
            plant_changed = false;
            break;
    }
    if (plant_changed) apply_faults();
    notice_state();
}

}  // namespace ampturn::sim
