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
    apply_faults();
    for (const Fault fault : start.faults) set_fault(fault, true, {});
    (void)load(transmitter_.table);
    next_mark_s_ = 1;
    next_mark_ = in_seconds(1);
}

core::Instant Site::in_seconds(double seconds) const {
    return unit_.now() + core::Ticks{static_cast<std::uint64_t>(
                             std::llround(seconds * transmitter_.setup.config.clock_hz))};
}

core::Instant Site::next_due() const {
    return std::max(unit_.now(),
                    std::min({unit_.next_due(), action_ends_, next_mark_, next_flutter_, next_danger_}));
}

void Site::run_until(core::Instant t) {
    while (true) {
        const core::Instant next = next_due();
        if (next > t) return;
        unit_.run_until(next);
        notice_state();
        if (action_ends_ <= next) finish_action();
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

double Site::action_left_s() const {
    return action_in_progress_ ? unit_.seconds(action_ends_) - unit_.now_s() : 0;
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
        if (has(Fault::person_in_ring)) {
            happen(EventType::danger(Danger::sent_with_person_in_ring), {},
                   "the loop was energised with somebody inside the keep-out ring");
        }
        if (has(Fault::thunder_near)) {
            happen(EventType::danger(Danger::sent_in_thunder), {},
                   "the loop was energised with a thunderstorm near");
        }
    }
    watch_danger();
    const bool whole =
        before == core::State::sending && (now == core::State::standby || now == core::State::resting);
    if (whole) happen(EventType::table_done(), {}, "the whole table was sent");
}

bool Site::danger_lasts() const {
    return core::may_energise(state()) && (has(Fault::person_in_ring) || has(Fault::thunder_near));
}

/// A danger that begins while the loop is live is told at once by tell_danger(), and again as long as it lasts.
void Site::watch_danger() {
    if (!danger_lasts())
        next_danger_ = core::Instant::never();
    else if (next_danger_ == core::Instant::never())
        next_danger_ = in_seconds(danger_again_s);
}

void Site::tell_danger() {
    if (core::may_energise(state()) && has(Fault::person_in_ring))
        happen(EventType::danger(Danger::person_in_ring_while_energised), {},
               "somebody is inside the keep-out ring and the loop is energised");
    if (core::may_energise(state()) && has(Fault::thunder_near))
        happen(EventType::danger(Danger::thunder_while_energised), {},
               "a thunderstorm is near and the loop is energised");
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
        faults.contact_ohm[i] = has(wet[i]) ? 0.6 : 0.0;
        if (has(wet[i])) faults.battery_leakage_w += 8;
    }
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
    if ((fault == Fault::person_in_ring || fault == Fault::thunder_near) && on && danger_lasts())
        tell_danger();
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
