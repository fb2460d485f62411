#include "scheduler/core/sequencer.hpp"

#include "scheduler/core/check.hpp"
#include "scheduler/core/crc32.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/core/uint128.hpp"

// Time, states and controls. The steps of a sweep are in sequencer_steps.cpp, the trips in sequencer_trips.cpp.

namespace ampturn::core {

Sequencer::Times Sequencer::times_of(const Config& config) {
    AMPTURN_CHECK(check(config) == ConfigFault::none);
    const auto ticks = [&](std::uint32_t span_ms) { return ticks_of_ms(config.clock_hz, span_ms); };
    return {.warning = ticks(config.warning_ms),
            .arm_timeout = ticks(config.arm_timeout_ms),
            .self_check = ticks(config.self_check_ms),
            .self_check_limit = ticks(config.self_check_limit_ms),
            .relay_break = ticks(config.relay_break_ms),
            .current_decay = ticks(config.current_decay_ms),
            .watchdog = ticks(config.watchdog_ms),
            .current_debounce = ticks(config.current_debounce_ms),
            .sag_debounce = ticks(config.sag_debounce_ms),
            .voltage_debounce = ticks(config.voltage_debounce_ms),
            .temperature_debounce = ticks(config.temperature_debounce_ms),
            .one_ms = ticks(1)};
}

Sequencer::Sequencer(const Config& config)
    : config_(config), times_(times_of(config)), utc_(config.clock_hz, config.clock_error_ppb) {}

// ---- time

Instant Sequencer::begin(Instant now) {
    if (now < now_) {
        raise(now_, Trip::clock_fault);
        return now_;
    }
    now_ = now;
    // Phases of no length follow each other at one instant: at most settling, and the gap and settling of the
    // step after. Everything else takes at least a drive period, and a call that late is a trip.
    for (int i = 0; i < 8 && deadline_ <= now; ++i) {
        if (too_late(now)) {
            raise(now, Trip::watchdog);
            set_deadline();
        } else {
            on_deadline(deadline_);
        }
    }
    return now;
}

bool Sequencer::too_late(Instant now) const {
    if (state_ != State::warning && !may_energise(state_)) return false;
    const Ticks half_period{step().divisor / 2};
    return now - deadline_ > (half_period < times_.one_ms ? half_period : times_.one_ms);
}

void Sequencer::on_deadline(Instant at) {
    for (std::size_t i = 0; i < trip_count && !pending_.empty(); ++i) {
        const auto trip = static_cast<Trip>(i);
        if (pending_.has(trip) && trips_at_[i] <= at) raise(at, trip);
    }
    if (silent_at() <= at) raise(at, Trip::watchdog);
    if (phase_end_ <= at) {
        switch (state_) {
            case State::self_check:
                self_check_over(at);
                break;
            case State::armed:
                fire(Event::timeout, at);
                break;
            case State::warning:
                fire(Event::timeout, at);
                start_step(at);
                break;
            case State::sending:
            case State::stopping:
                phase_over(at);
                break;
            case State::unpowered:
            case State::standby:
            case State::resting:
            case State::tripped:
                break;  // these end by events only
        }
    }
    set_deadline();
}

Instant Sequencer::silent_at() const {
    if (!may_energise(state_)) return Instant::never();
    return (last_reading_at_ > state_since_ ? last_reading_at_ : state_since_) + times_.watchdog;
}

void Sequencer::set_deadline() {
    deadline_ = phase_end_;
    if (silent_at() < deadline_) deadline_ = silent_at();
    if (pending_.empty()) return;
    for (std::size_t i = 0; i < trip_count; ++i)
        if (pending_.has(static_cast<Trip>(i)) && trips_at_[i] < deadline_) deadline_ = trips_at_[i];
}

void Sequencer::advance(Instant now) { begin(now); }

// ---- states

bool Sequencer::fire(Event event, Instant at) {
    const Next to = next(state_, event, hot());
    if (!to.moves) return false;
    record(at, RecordKind::state,
           static_cast<std::uint8_t>(static_cast<unsigned>(state_) * 16 + static_cast<unsigned>(to.to)),
           static_cast<std::int32_t>(event));
    enter(to.to, at);
    return true;
}

void Sequencer::enter(State to, Instant at) {
    state_ = to;
    state_since_ = at;
    if (to == State::stopping) return;  // the phase in hand goes on until stop_drive()
    phase_ = Phase::none;
    phase_end_ = Instant::never();
    switch (to) {
        case State::unpowered:
            off(at);
            pending_.clear();
            active_.clear();
            latched_.clear();
            break;
        case State::self_check:
            checks_done_ = false;
            phase_end_ = at + times_.self_check;
            break;
        case State::armed:
            phase_end_ = at + times_.arm_timeout;
            break;
        case State::warning:
            step_index_ = 0;
            sweep_index_ = 0;
            phase_end_ = mark_at_or_after(at + times_.warning, config_.start_mark);
            break;
        case State::tripped:
            off(at);
            break;
        case State::sending:  // start_step() follows
        case State::standby:
        case State::resting:
        case State::stopping:
            break;
    }
    release_selection(at);
}

void Sequencer::self_check_over(Instant at) {
    if (checks_done_)
        fire(Event::checks_passed, at);
    else if (at < state_since_ + times_.self_check_limit)
        phase_end_ = state_since_ + times_.self_check_limit;
    else
        raise(at, Trip::watchdog);  // the measuring chain is silent or incomplete
}

Instant Sequencer::mark_at_or_after(Instant t, Mark mark) {
    if (mark == Mark::none) return t;
    awaited_second_ = mark == Mark::minute ? utc_.minute_at_or_after(t) : utc_.second_at_or_after(t);
    return utc_.instant_of(awaited_second_);
}

/// A start that waits for a UTC second moves with what newer marks say of that second.
void Sequencer::follow_mark(std::uint64_t utc_second) {
    const bool waits =
        (state_ == State::warning && config_.start_mark != Mark::none) || phase_ == Phase::waiting;
    if (waits && utc_second < awaited_second_) phase_end_ = utc_.instant_of(awaited_second_);
}

bool Sequencer::hot() const {
    return reading_.winding_mdeg_c > config_.winding_restart_mdeg_c ||
           reading_.electronics_mdeg_c > config_.electronics_restart_mdeg_c;
}

void Sequencer::record(Instant at, RecordKind kind, std::uint8_t detail, std::int32_t value) {
    records_.push({.at = at, .value = value, .kind = kind, .detail = detail});
}

Indicator Sequencer::indicator() const {
    const StateIndication& shown = state_indications[static_cast<std::size_t>(state_)];
    return {.lamp = shown.lamp,
            .pattern = shown.pattern,
            .sounder = shown.sounder,
            .word = state_,
            .has_cause = state_ == State::tripped && !latched_.empty(),
            .cause = first_trip_,
            .since = state_since_};
}

Progress Sequencer::progress() const {
    return {.phase = phase_,
            .step_index = step_index_,
            .step_count = static_cast<std::uint8_t>(table_.step_count),
            .sweep_index = sweep_index_,
            .sweep_count = table_.sweep_count,
            .step_start = step_start_,
            .phase_start = phase_start_,
            .phase_end = phase_end_};
}

// ---- what hosts tell

TableCheck Sequencer::load(Instant now, std::span<const std::uint8_t> image) {
    const Instant at = begin(now);
    TableCheck result{Refusal::busy, 0};
    if (state_ != State::armed && state_ != State::warning && !may_energise(state_))
        result = read_image(image, config_.clock_hz, config_.limits, table_);
    record(at, RecordKind::table, static_cast<std::uint8_t>(result.reason), result.step_index);
    if (result.reason == Refusal::none) {
        for (std::size_t i = 0; i < table_.step_count; ++i) step_crcs_[i] = step_crc(table_.steps[i]);
        table_bad_ = false;
        step_index_ = 0;
        sweep_index_ = 0;
    }
    return result;
}

std::uint32_t Sequencer::step_crc(const Step& step) {
    std::array<std::uint8_t, image_step_bytes> bytes;
    write_step(step, bytes);
    return crc32(bytes);
}

bool Sequencer::step_intact(std::size_t index) const {
    return step_crc(table_.steps[index]) == step_crcs_[index];
}

bool Sequencer::table_intact() const {
    for (std::size_t i = 0; i < table_.step_count; ++i)
        if (!step_intact(i)) return false;
    return true;
}

bool Sequencer::needs_utc() const {
    if (config_.start_mark != Mark::none) return true;
    for (const Step& each : table_.used())
        if (each.flags != 0) return true;
    return false;
}

Reply Sequencer::arm(Instant at) {
    if (state_ != State::standby) return Reply::not_now;
    if (table_.step_count == 0) return Reply::no_table;
    if (!table_intact()) {
        table_bad_ = true;
        raise(at, Trip::table_fault);
        return Reply::no_table;
    }
    if (hot()) return Reply::too_hot;
    fire(Event::arm, at);
    return Reply::accepted;
}

bool Sequencer::stop_by(Event event, Instant at) {
    if (!fire(event, at)) return false;
    if (state_ == State::stopping) stop_drive(at);
    return true;
}

Reply Sequencer::answer(Instant at, Control control) {
    const auto tried = [](bool moved) { return moved ? Reply::accepted : Reply::not_now; };
    switch (control) {
        case Control::arm:
            return arm(at);
        case Control::disarm:
            return tried(stop_by(Event::disarm, at));
        case Control::go:
            if (state_ == State::armed && needs_utc() && !utc_.known()) return Reply::no_time;
            return tried(fire(Event::go, at));
        case Control::stop:
            return tried(stop_by(Event::stop, at));
        case Control::emergency_stop:
            emergency_stop_ = true;
            judge_emergency_stop(at);
            return Reply::accepted;
        case Control::emergency_reset: {
            const bool was_latched = emergency_stop_;
            emergency_stop_ = false;
            judge_emergency_stop(at);
            return tried(was_latched);
        }
        case Control::acknowledge:
            if (state_ != State::tripped) return Reply::not_now;
            if (!active_.empty() || !off_confirmed_) return Reply::cause_active;
            latched_.clear();
            return tried(fire(Event::acknowledge, at));
    }
    return Reply::not_now;
}

Reply Sequencer::control(Instant now, Control control) {
    const Instant at = begin(now);
    const Reply reply = answer(at, control);
    record(at, RecordKind::control, static_cast<std::uint8_t>(control), static_cast<std::int32_t>(reply));
    set_deadline();
    return reply;
}

void Sequencer::measure(Instant now, const Reading& reading) {
    const Instant at = begin(now);
    reading_ = reading;
    last_reading_at_ = at;
    if (!drive_.on) off_confirmed_ = largest_current_ma() <= config_.current_zero_ma;
    if (reading.supply == Supply::absent) {
        fire(Event::supply_lost, at);
    } else {
        if (reading.supply == Supply::right) fire(Event::supply_present, at);
        judge(at);
        go_on_by_reading(at);
    }
    release_selection(at);
    set_deadline();
}

/// States and phases that a reading ends.
void Sequencer::go_on_by_reading(Instant at) {
    switch (state_) {
        case State::self_check:
            checks_done_ = all_checks_passed();
            if (checks_done_ && at >= state_since_ + times_.self_check) fire(Event::checks_passed, at);
            break;
        case State::sending:
            if (phase_ == Phase::ending && off_confirmed_) fire(Event::table_done, at);
            break;
        case State::stopping:
            if (phase_ == Phase::ending && off_confirmed_) fire(Event::current_zero, at);
            break;
        case State::resting:
            if (!hot()) fire(Event::cooled, at);
            break;
        case State::unpowered:
        case State::standby:
        case State::armed:
        case State::warning:
        case State::tripped:
            break;
    }
}

bool Sequencer::all_checks_passed() const {
    for (std::size_t loop = 0; loop < 2; ++loop)
        if ((config_.limits.loops_fitted >> loop & 1u) != 0 && reading_.loop_resistance_mohm[loop] < 0)
            return false;
    return off_confirmed_ && active_.empty() && pending_.empty();
}

void Sequencer::mark(Instant now, std::uint64_t utc_second) {
    const Instant at = begin(now);
    std::int32_t error_ticks = 0;
    bool fault = false;
    if (utc_.known()) {
        fault = utc_second <= utc_.second_set() || utc_second - utc_.second_set() > seconds_between_marks_max;
        if (!fault) {
            const Instant expected = utc_.instant_of(utc_second);
            const bool late = at >= expected;
            const std::uint64_t error = (late ? at - expected : expected - at).count();
            const std::uint64_t allowed =
                mark_jitter().count() + (utc_second - utc_.second_set()) *
                                            (config_.clock_hz / 1'000 * config_.clock_limit_ppm / 1'000);
            fault = error > allowed;
            const auto size = static_cast<std::int32_t>(error < 0x7FFFFFFF ? error : 0x7FFFFFFF);
            error_ticks = late ? size : -size;
        }
    }
    utc_.set(at, utc_second);
    record(at, RecordKind::mark, fault ? 1 : 0, error_ticks);
    if (fault)
        raise(at, Trip::clock_fault);
    else
        follow_mark(utc_second);
    set_deadline();
}

}  // namespace ampturn::core
