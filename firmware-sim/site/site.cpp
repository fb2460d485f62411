#include "firmware-sim/site/site.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "firmware-sim/site/front_controls.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::sim::site {

using run::explain;

namespace {

constexpr double danger_again_s = 10;
constexpr double fallen_area = 0.35;  // of a loop whose mast lies on the ground
constexpr double drifted_capacitance = 1.3;

/// What must not be while the loop is live.
struct StandingDanger {
    Fault fault;
    Danger sent, lasting;
    const char *sent_text, *lasting_text;
};
constexpr std::array standing_dangers{
    StandingDanger{Fault::person_in_ring, Danger::sent_with_person_in_ring,
                   Danger::person_in_ring_while_energised,
                   "the loop was energised with somebody inside the keep-out ring",
                   "somebody is inside the keep-out ring and the loop is energised"},
    StandingDanger{Fault::thunder_near, Danger::sent_in_thunder, Danger::thunder_while_energised,
                   "the loop was energised with a thunderstorm near",
                   "a thunderstorm is near and the loop is energised"},
    StandingDanger{Fault::mast_down, Danger::sent_with_mast_down, Danger::mast_down_while_energised,
                   "the loop was energised with a mast down and wire within reach",
                   "a mast is down, wire within reach, and the loop is energised"},
};
constexpr double flutter_period_s = 7, flutter_open_s = 1.5;
constexpr double drift_ppm = 80;

model::transmitter::PlantState plant_of(const TransmitterSetup& transmitter) {
    return model::transmitter::plant_at_rest(transmitter.setup.transmitter, transmitter.air_c,
                                             transmitter.battery_state_of_charge);
}

}  // namespace

Site::Site(TransmitterSetup transmitter, const SiteStart& start, std::int64_t start_utc_s, Sink sink)
    : transmitter_(std::move(transmitter)),
      unit_(transmitter_.setup, plant_of(transmitter_)),
      start_utc_s_(start_utc_s),
      sink_(std::move(sink)),
      receiver_ready_after_s_(start.receiver_ready_after_s),
      area_checked_(start.area_checked) {
    const double air_c = transmitter_.air_c;
    unit_.set_ambient([air_c](double) { return air_c; });
    positive_ = negative_ = plugged_[0] = plugged_[1] = start.connected;
    (void)load(transmitter_.table);
    apply_faults();
    for (const Fault fault : start.faults) set_fault(fault, true, {});
    next_mark_s_ = 1;
    next_mark_ = in_seconds(1);
}

core::Instant Site::in_seconds(double seconds) const {
    return unit_.now() + core::Ticks{static_cast<std::uint64_t>(
                             std::llround(seconds * transmitter_.setup.config.clock_hz))};
}

core::Instant Site::next_due() const {
    return std::max(unit_.now(),
                    std::min({unit_.next_due(), next_work_ends(), next_mark_, next_flutter_, next_danger_}));
}

void Site::run_until(core::Instant t) {
    while (true) {
        const core::Instant next = next_due();
        if (next > t) return;
        unit_.run_until(next);
        notice_state();
        for (const Seat seat : {Seat::transmitter, Seat::receiver})
            if (const auto& work = work_of(seat); work && work->ends <= next) finish_action(seat);
        if (next_danger_ <= next) tell_danger();
        if (next_flutter_ <= next) {
            flutter_open_ = !flutter_open_;
            next_flutter_ = in_seconds(flutter_open_ ? flutter_open_s : flutter_period_s - flutter_open_s);
            apply_faults();
        }
        if (next_mark_ <= next) {
            // The receiver's second mark, by the true second; the drifting reference counts more ticks in it.
            if (clock_locked() || has(Fault::clock_drift)) {
                if (supplied()) unit_.mark(static_cast<std::uint64_t>(start_utc_s_) + next_mark_s_);
            }
            ++next_mark_s_;
            const double stretch = has(Fault::clock_drift) ? 1 + 1e-6 * drift_ppm : 1;
            next_mark_ = in_seconds(stretch);
        }
        notice_state();
    }
}

void Site::arrive_at(core::Instant t) {
    run_until(t);
    if (t > unit_.now()) unit_.run_until(t);
    notice_state();
}

std::optional<Action> Site::action_in_progress(Seat seat) const {
    return work_of(seat) ? std::optional(work_of(seat)->action) : std::nullopt;
}

double Site::action_left_s(Seat seat) const {
    return work_of(seat) ? unit_.seconds(work_of(seat)->ends) - unit_.now_s() : 0;
}

bool Site::hands_busy() const { return work_[0] || work_[1]; }

core::Instant Site::next_work_ends() const {
    core::Instant next = core::Instant::never();
    for (const auto& work : work_)
        if (work) next = std::min(next, work->ends);
    return next;
}

void Site::happen(const EventType& type, const std::string& who, std::string text) {
    sink_({type, who, std::move(text)});
}

void Site::notice_state() {
    const core::State now = state();
    if (now == seen_state_) return;
    const core::State before = std::exchange(seen_state_, now);
    if (now == core::State::tripped) {
        const core::Trip trip = unit_.core().first_trip();
        happen(EventType::tripped(trip), {}, std::string(explain(trip)));
    }
    happen(EventType::state_entered(now));
    if (now == core::State::sending) {
        for (const StandingDanger& danger : standing_dangers)
            if (has(danger.fault)) happen(EventType::danger(danger.sent), {}, danger.sent_text);
    }
    if (now == core::State::standby && has(Fault::stale_table) && table_is_right()) load_stale_table();
    watch_danger();
    const bool whole =
        before == core::State::sending && (now == core::State::standby || now == core::State::resting);
    if (whole) happen(EventType::table_done(), {}, "the whole table was sent");
}

bool Site::danger_lasts() const {
    return core::may_energise(state()) &&
           std::any_of(standing_dangers.begin(), standing_dangers.end(),
                       [this](const StandingDanger& danger) { return has(danger.fault); });
}

/// A danger that begins while the loop is live is told at once by tell_danger(), and again as long as it lasts.
void Site::watch_danger() {
    if (!danger_lasts())
        next_danger_ = core::Instant::never();
    else if (next_danger_ == core::Instant::never())
        next_danger_ = in_seconds(danger_again_s);
}

void Site::tell_danger() {
    for (const StandingDanger& danger : standing_dangers)
        if (core::may_energise(state()) && has(danger.fault))
            happen(EventType::danger(danger.lasting), {}, danger.lasting_text);
    next_danger_ = danger_lasts() ? in_seconds(danger_again_s) : core::Instant::never();
}

bool Site::loose_open(std::size_t index) const {
    return flutter_open_ && has(index == 0 ? Fault::loose_connector_a : Fault::loose_connector_b);
}

void Site::apply_faults() {
    model::transmitter::PlantFaults faults;
    constexpr Fault open[] = {Fault::open_loop_a, Fault::open_loop_b};
    constexpr Fault shorted[] = {Fault::shorted_loop_a, Fault::shorted_loop_b};
    constexpr Fault wet[] = {Fault::wet_connector_a, Fault::wet_connector_b};
    for (const std::size_t i : {std::size_t{0}, std::size_t{1}}) {
        faults.loop_open[i] = !plugged_[i] || has(open[i]) || loose_open(i);
        faults.short_fraction[i] = has(shorted[i]) ? 1.0 : 0.0;
        faults.contact_ohm[i] = has(wet[i]) ? wet_contact_ohm : 0.0;
        if (has(wet[i])) faults.battery_leakage_w += 8;
    }
    faults.plugs_exchanged = has(Fault::plugs_exchanged);
    if (has(Fault::mast_down)) faults.area_factor[0] = fallen_area;
    if (has(Fault::capacitor_drifted)) faults.capacitance_factor = drifted_capacitance;
    faults.supply_reversed = has(Fault::reversed_leads);
    faults.battery_disconnected = !supplied();
    if (has(Fault::weak_battery)) {
        faults.battery_capacity_factor = 0.002;
        faults.battery_resistance_factor = 30;
    }
    if (has(Fault::cold_battery)) {
        faults.battery_temperature_offset_k = -25;
        faults.battery_resistance_factor *= 8;
    }
    if (has(Fault::blocked_vents)) faults.electronics_cooling_factor = 20;
    unit_.plant().faults = faults;
    unit_.measure_now();
}

void Site::set_fault(Fault fault, bool on, const std::string& who) {
    bool& flag = faults_[static_cast<std::size_t>(fault)];
    if (flag == on) return;
    flag = on;
    if (fault == Fault::loose_connector_a || fault == Fault::loose_connector_b) {
        const bool any = has(Fault::loose_connector_a) || has(Fault::loose_connector_b);
        flutter_open_ = any;
        next_flutter_ = any ? in_seconds(flutter_open_s) : core::Instant::never();
    }
    if (fault == Fault::blocked_vents && on) {
        unit_.plant().electronics_c = std::max(unit_.plant().electronics_c, 78.0);
    }
    happen(on ? EventType::fault_set(fault) : EventType::fault_cleared(fault), who, info(fault).effect);
    apply_faults();
    if (fault == Fault::stale_table && on && table_is_right()) load_stale_table();
    const bool dangerous =
        std::any_of(standing_dangers.begin(), standing_dangers.end(),
                    [fault](const StandingDanger& danger) { return danger.fault == fault; });
    if (dangerous && on && danger_lasts()) tell_danger();
    watch_danger();
    notice_state();
}

core::Reply Site::control(core::Control control, const std::string& who) {
    const core::State before = state();
    const core::Reply reply = unit_.control(control);
    const Action action = action_of(control);
    happen(reply == core::Reply::accepted ? EventType::did(action) : EventType::tried(action), who,
           why_not(reply, control, before));
    notice_state();
    return reply;
}

core::TableCheck Site::load_image(std::span<const std::uint8_t> image) {
    const core::TableCheck result = unit_.load(image);
    notice_state();
    return result;
}

core::TableCheck Site::load(const core::Table& table) {
    std::array<std::uint8_t, core::image_bytes_max> bytes{};
    const std::size_t size = core::write_image(table, transmitter_.setup.config.clock_hz, bytes);
    return load_image(std::span(bytes).first(size));
}

bool Site::table_is_right() const { return unit_.core().table() == transmitter_.table; }

/// Where the unit takes no table now (armed, sending) it comes with the next standby.
void Site::load_stale_table() {
    core::Table old = transmitter_.table;
    old.table_id ^= 1u;
    for (std::size_t i = 0; i < old.step_count; ++i)
        old.steps[i].cycles = std::max(1u, old.steps[i].cycles / 2);
    (void)load(old);
}

core::Reading Site::measure() {
    unit_.measure_now();
    notice_state();
    return unit_.core().last_reading();
}

std::vector<core::Record> Site::take_records() {
    std::vector<core::Record> records;
    core::Record record;
    while (unit_.core().records().pop(record)) records.push_back(record);
    return records;
}

}  // namespace ampturn::sim::site
