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

constexpr double empty_spare_charge = 0.08;
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
    static constexpr std::array plugs{Fault::plugs_exchanged, Fault::loop_a_reversed, Fault::loop_b_reversed};
    static constexpr std::array capacitors{Fault::capacitor_drifted};
    static constexpr std::array table{Fault::stale_table};
    static constexpr std::array mast{Fault::mast_down};
    static constexpr std::array radio{Fault::radio_dead};
    static constexpr std::array hum{Fault::mains_hum};
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
        case Action::set_plugs_right:
            return plugs;
        case Action::replace_capacitor:
            return capacitors;
        case Action::load_table:
            return table;
        case Action::raise_mast:
            return mast;
        case Action::change_radio:
            return radio;
        case Action::ask_crew_to_move:
        case Action::move_lines:
            return hum;
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
    std::optional<Work>& work = work_of(about.seat);
    std::string why = work ? fmt::format("hands are busy for {:.0f} s: {}",
                                         std::ceil(action_left_s(about.seat)), info(work->action).label)
                           : why_impossible(action);
    if (!why.empty()) {
        happen(EventType::tried(action), who, why);
        return {false, why};
    }
    notice_dangers(action, who);
    work = Work{action, who, in_seconds(about.duration_s)};
    return {true, fmt::format("{} ({:g} s)", about.label, about.duration_s)};
}

std::string Site::why_impossible(Action action) const {
    if (info(action).seat == Seat::receiver) return why_impossible_for_crew(action);
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
        case Action::set_plugs_right:
        case Action::measure_capacitor:
        case Action::replace_capacitor:
        case Action::raise_mast:
            return plugged_[0] || plugged_[1] ? "unplug both loops first" : "";
        case Action::check_clock:
        case Action::wait_for_lock:
        case Action::read_back_table:
            return supplied() ? "" : "the unit has no supply";
        case Action::load_table:
            return !supplied() ? "the unit has no supply"
                   : energised(state()) || state() == core::State::armed || state() == core::State::warning
                       ? "the unit takes no table while armed or sending: stop first"
                       : "";
        case Action::ask_crew_to_move:
            return has(Fault::radio_dead) ? "the radio is dead"
                   : !crew_.empty()       ? "somebody sits at the receiver: say it by radio"
                                          : "";
        case Action::take_shelter:
            return in_shelter_ ? "you are in the shelter already" : "";
        case Action::leave_shelter:
            return in_shelter_ ? "" : "you are not in the shelter";
        default:
            return "";
    }
}

std::string Site::why_impossible_for_crew(Action action) const {
    if (crew_.empty()) return "nobody sits at the receiver";
    switch (action) {
        case Action::start_recording:
            return recording_              ? "the recorder runs already"
                   : receiver_can_record() ? ""
                                           : "the recorder is not set up yet";
        case Action::stop_recording:
            return recording_ ? "" : "the recorder stands already";
        case Action::move_lines:
            return recording_ ? "stop recording first" : "";
        default:
            return "";
    }
}

bool Site::receiver_can_record() const {
    return !has(Fault::receiver_not_ready) && now_s() >= receiver_ready_after_s_;
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

/// What the action moves: leads, plugs, tables, people.
void Site::operate(const Work& work) {
    switch (work.action) {
        case Action::swap_leads:
            set_fault(Fault::reversed_leads, !has(Fault::reversed_leads), work.who);
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
            model::transmitter::exchange_battery(transmitter_.setup.transmitter, unit_.plant(),
                                                 transmitter_.air_c,
                                                 has(Fault::spare_battery_empty) ? empty_spare_charge : 1);
            set_fault(Fault::spare_battery_empty, false, work.who);
            break;
        case Action::load_table:
            (void)load(transmitter_.table);
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
        case Action::start_recording:
            recording_ = true;
            break;
        case Action::stop_recording:
            recording_ = false;
            break;
        default:  // moves nothing: measures, asks or mends
            break;
    }
}

void Site::finish_action(Seat seat) {
    const Work work = *std::exchange(work_of(seat), std::nullopt);
    happen(EventType::did(work.action), work.who, info(work.action).label);
    operate(work);
    for (const Fault fault : mended_by(work.action)) set_fault(fault, false, work.who);
    if (const auto shown = look(work.action)) happen(EventType::found(shown->finding), work.who, shown->text);
    apply_faults();
    notice_state();
}

void Site::take_receiver_seat(const std::string& who) {
    crew_ = who;
    recording_ = false;
}

void Site::leave_receiver_seat() {
    crew_.clear();
    recording_ = true;
    work_of(Seat::receiver).reset();
}

ActionReply Site::say_by_radio(Seat from, const std::string& text, const std::string& who) {
    if (has(Fault::radio_dead)) return {false, "the radio is dead: nobody hears you"};
    if (from == Seat::transmitter && crew_.empty())
        return {false, "nobody sits at the receiver: call the crew instead"};
    happen(EventType::radio(from), who, text);
    return {true, "said"};
}

}  // namespace ampturn::sim::site
