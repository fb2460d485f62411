#include "scheduler/core/sequencer.hpp"

// How trips are found in the readings: threshold, debounce, hysteresis.

namespace ampturn::core {
namespace {

std::int32_t larger(std::int32_t a, std::int32_t b) { return a > b ? a : b; }

}  // namespace

std::int32_t Sequencer::largest_current_ma() const {
    return larger(reading_.loop_current_ma[0], reading_.loop_current_ma[1]);
}

/// beyond: past the threshold. clear: back past the hysteresis. In between an active cause stays active and a
/// pending one is forgotten.
void Sequencer::judge_one(Instant at, Trip trip, bool beyond, bool clear, Ticks debounce) {
    if (active_.has(trip)) {
        if (!clear) return;
        active_.remove(trip);
        record(at, RecordKind::trip_cleared, static_cast<std::uint8_t>(trip), measured(trip));
        return;
    }
    if (!beyond) {
        pending_.remove(trip);
        return;
    }
    const auto index = static_cast<std::size_t>(trip);
    if (!pending_.has(trip)) {
        pending_.add(trip);
        beyond_since_[index] = at;
    }
    trips_at_[index] = beyond_since_[index] + debounce;
    if (trips_at_[index] <= at) raise(at, trip);
}

void Sequencer::judge(Instant at) {
    const bool on = drive_.on;
    judge_current(at, on);
    if (on && !drive_.on) return;  // answered; the other causes can wait for the next reading
    judge_loops(at, on);
    const Config& c = config_;
    const Reading& r = reading_;
    const std::int32_t bus_clear_mv = c.bus_low_mv == 0 ? -1 : c.bus_low_mv + c.under_voltage_hysteresis_mv;
    judge_one(at, Trip::under_voltage,
              r.battery_mv < c.under_voltage_mv || (c.bus_low_mv > 0 && r.bus_mv < c.bus_low_mv),
              r.battery_mv > c.under_voltage_mv + c.under_voltage_hysteresis_mv && r.bus_mv > bus_clear_mv,
              on ? times_.sag_debounce : times_.voltage_debounce);
    judge_one(at, Trip::over_temperature_winding, r.winding_mdeg_c > c.winding_limit_mdeg_c,
              r.winding_mdeg_c < c.winding_limit_mdeg_c - c.temperature_hysteresis_mdeg_c,
              times_.temperature_debounce);
    judge_one(at, Trip::over_temperature_electronics, r.electronics_mdeg_c > c.electronics_limit_mdeg_c,
              r.electronics_mdeg_c < c.electronics_limit_mdeg_c - c.temperature_hysteresis_mdeg_c,
              times_.temperature_debounce);
    judge_one(at, Trip::reversed_supply, r.supply == Supply::reversed, r.supply != Supply::reversed, Ticks{});
    const bool table_fault = !r.table_store_ok || table_bad_;
    judge_one(at, Trip::table_fault, table_fault, !table_fault, Ticks{});
    judge_one(at, Trip::clock_fault, !r.clock_ok, r.clock_ok, Ticks{});
    judge_one(at, Trip::watchdog, false, true, Ticks{});  // a reading has come
    judge_emergency_stop(at);
}

void Sequencer::judge_current(Instant at, bool on) {
    // With the power stage off no current may flow at all once it has had time to decay.
    const bool decayed = !on && at >= off_since_ + times_.current_decay;
    const std::int32_t current_ma = largest_current_ma();
    // A driven loop that takes so much more than its step asks for is shorted: answered at once, like every over-current.
    if (on && current_ma > config_.over_current_ma && driven_loop_takes_too_much()) {
        judge_one(at, Trip::shorted_loop, true, false, Ticks{});
        return;
    }
    judge_one(at, Trip::over_current,
              current_ma > config_.over_current_ma || (decayed && current_ma > config_.current_zero_ma),
              current_ma <= config_.current_zero_ma, Ticks{});
}

bool Sequencer::takes_too_much(std::size_t loop) const {
    const std::int32_t current_ma = reading_.loop_current_ma[loop];
    return static_cast<std::uint64_t>(current_ma > 0 ? current_ma : 0) * 100 >
           std::uint64_t{step().current_ma_peak} * static_cast<std::uint32_t>(config_.shorted_loop_percent);
}

bool Sequencer::driven_loop_takes_too_much() const {
    for (std::size_t loop = 0; loop < 2; ++loop)
        if ((static_cast<unsigned>(drive_.selection.loop) >> loop & 1u) != 0 && takes_too_much(loop))
            return true;
    return false;
}

void Sequencer::judge_loops(Instant at, bool on) {
    bool open = false, shorted = false, open_clear = true, shorted_clear = true;
    for (std::size_t loop = 0; loop < 2; ++loop) {
        const bool selected = (static_cast<unsigned>(drive_.selection.loop) >> loop & 1u) != 0;
        const bool fitted = (config_.limits.loops_fitted >> loop & 1u) != 0;
        const std::int32_t current_ma = reading_.loop_current_ma[loop];
        const std::int32_t resistance_mohm = reading_.loop_resistance_mohm[loop];
        if (on && selected) {
            open = open || (phase_ == Phase::dwell && current_ma < config_.open_loop_ma);
            shorted = shorted || takes_too_much(loop);
        }
        if (!on && fitted && resistance_mohm >= 0) {
            open = open || resistance_mohm > config_.open_loop_mohm;
            shorted = shorted || resistance_mohm < config_.shorted_loop_mohm;
            open_clear = open_clear && resistance_mohm < config_.open_loop_mohm - config_.open_loop_mohm / 10;
            shorted_clear =
                shorted_clear && resistance_mohm > config_.shorted_loop_mohm + config_.shorted_loop_mohm / 10;
        }
    }
    judge_one(at, Trip::open_loop, open, open_clear, times_.current_debounce);
    judge_one(at, Trip::shorted_loop, shorted, shorted_clear, times_.current_debounce);
}

void Sequencer::judge_emergency_stop(Instant at) {
    if (reading_.supply == Supply::absent) return;  // it is judged when the supply is there
    judge_one(at, Trip::emergency_stop, emergency_stop_, !emergency_stop_, Ticks{});
}

std::int32_t Sequencer::measured(Trip trip) const {
    switch (trip) {
        case Trip::over_current:
            return largest_current_ma();
        case Trip::open_loop:
        case Trip::shorted_loop: {
            const bool tested =
                larger(reading_.loop_resistance_mohm[0], reading_.loop_resistance_mohm[1]) >= 0;
            return tested ? worst_resistance_mohm(trip) : largest_current_ma();
        }
        case Trip::under_voltage:
            return reading_.battery_mv;
        case Trip::over_temperature_winding:
            return reading_.winding_mdeg_c;
        case Trip::over_temperature_electronics:
            return reading_.electronics_mdeg_c;
        case Trip::reversed_supply:
        case Trip::table_fault:
        case Trip::clock_fault:
        case Trip::watchdog:
        case Trip::emergency_stop:
            return 0;
    }
    return 0;
}

std::int32_t Sequencer::worst_resistance_mohm(Trip trip) const {
    const std::int32_t a = reading_.loop_resistance_mohm[0], b = reading_.loop_resistance_mohm[1];
    if (a < 0) return b;
    if (b < 0) return a;
    const bool b_is_larger = b > a;
    return (trip == Trip::open_loop) == b_is_larger ? b : a;
}

/// Category 0 (IEC 60204-1): the drive is off when this returns. Without a supply there is nothing to trip.
void Sequencer::raise(Instant at, Trip trip) {
    if (reading_.supply == Supply::absent) return;
    pending_.remove(trip);
    active_.add(trip);
    if (latched_.empty()) first_trip_ = trip;
    latched_.add(trip);
    record(at, RecordKind::trip, static_cast<std::uint8_t>(trip), measured(trip));
    fire(Event::trip, at);
    set_deadline();
}

}  // namespace ampturn::core
