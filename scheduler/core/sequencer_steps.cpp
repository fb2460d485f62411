#include "scheduler/core/sequencer.hpp"
#include "scheduler/core/uint128.hpp"

// One step of a sweep: (wait for a mark) -> select -> ramp up -> dwell -> ramp down -> gap. Every boundary is
// counted from the step's start in whole ticks, so nothing drifts.

namespace ampturn::core {
namespace {

constexpr std::uint32_t full_q16 = 65'536;

std::uint32_t smaller(std::uint32_t a, std::uint32_t b) { return a < b ? a : b; }

}  // namespace

void Sequencer::set_phase(Phase phase, Instant start, Instant end) {
    phase_ = phase;
    phase_start_ = start;
    phase_end_ = end;
}

void Sequencer::start_step(Instant at) {
    if (!step_intact(step_index_)) {
        table_bad_ = true;
        raise(at, Trip::table_fault);
        return;
    }
    const std::uint8_t flags = step().flags;
    const Mark mark =
        flags == starts_on_minute ? Mark::minute : (flags == starts_on_second ? Mark::second : Mark::none);
    const Instant start = mark_at_or_after(at, mark);
    if (start > at)
        set_phase(Phase::waiting, at, start);
    else
        select(at);
}

void Sequencer::select(Instant at) {
    step_start_ = at;
    const Selection wanted = step().selection();
    if (wanted != drive_.selection && !off_confirmed_) {
        not_zero_in_time(at);
        return;
    }
    record(at, RecordKind::step, step_index_, sweep_index_);
    reciprocal_q64_ = divide({1, 0}, step().divisor);
    if (wanted != drive_.selection && drive_.selection.loop != Loop::none) {
        drive_.selection = {};
        drive_.since = at;
        set_phase(Phase::breaking, at, at + times_.relay_break);
        return;
    }
    close_relays(at);
}

void Sequencer::close_relays(Instant at) {
    if (drive_.selection != step().selection()) {
        if (!off_confirmed_) {
            not_zero_in_time(at);
            return;
        }
        drive_.selection = step().selection();
        drive_.since = at;
    }
    set_phase(Phase::settling, at, step_start_ + Ticks{step().settle_ticks});
}

void Sequencer::phase_over(Instant at) {
    switch (phase_) {
        case Phase::waiting:
            select(at);
            break;
        case Phase::breaking:
            close_relays(at);
            break;
        case Phase::settling:
            drive_.on = true;
            drive_.divisor = step().divisor;
            off_confirmed_ = false;
            segment_ = 0;
            segments_ = static_cast<std::uint8_t>(smaller(step().ramp_cycles, ramp_segments_max));
            set_phase(Phase::ramp_up, at, at);
            ramp_up_segment(at);
            break;
        case Phase::ramp_up:
            if (++segment_ < segments_) {
                ramp_up_segment(at);
            } else {
                set_amplitude(at, full_q16);
                set_phase(Phase::dwell, at, at + dwell(step()));
            }
            break;
        case Phase::dwell:
            plan_ramp_down(step().ramp_cycles, ramp_segments_max);
            begin_ramp_down(at);
            break;
        case Phase::last_cycle:
            begin_ramp_down(at);
            break;
        case Phase::ramp_down:
            if (++segment_ < segments_)
                ramp_down_segment(at);
            else
                after_ramp_down(at);
            break;
        case Phase::gap:
            after_gap(at);
            break;
        case Phase::ending:
            not_zero_in_time(at);
            break;
        case Phase::none:
            break;
    }
}

void Sequencer::set_amplitude(Instant at, std::uint32_t amplitude_q16) {
    drive_.amplitude_q16 = amplitude_q16;
    drive_.target_ma_peak =
        static_cast<std::uint32_t>((std::uint64_t{step().current_ma_peak} * amplitude_q16) >> 16);
    drive_.since = at;
}

/// Level `segment_` of the ramp up; levels change at whole cycles, evenly spread.
void Sequencer::ramp_up_segment(Instant at) {
    const std::uint32_t end_cycle = (segment_ + 1u) * step().ramp_cycles / segments_;
    set_amplitude(at, (segment_ + 1u) * full_q16 / (segments_ + 1u));
    phase_end_ = phase_start_ + Ticks{step().divisor} * end_cycle;
}

void Sequencer::plan_ramp_down(std::uint32_t cycles, std::uint32_t segments) {
    ramp_down_cycles_ = cycles;
    ramp_down_top_q16_ = drive_.amplitude_q16;
    segments_ = static_cast<std::uint8_t>(smaller(cycles, segments));
}

void Sequencer::begin_ramp_down(Instant at) {
    segment_ = 0;
    set_phase(Phase::ramp_down, at, at);
    if (segments_ == 0)
        after_ramp_down(at);
    else
        ramp_down_segment(at);
}

void Sequencer::ramp_down_segment(Instant at) {
    const std::uint32_t end_cycle = (segment_ + 1u) * ramp_down_cycles_ / segments_;
    set_amplitude(at,
                  ramp_down_top_q16_ * (segments_ - static_cast<std::uint32_t>(segment_)) / (segments_ + 1u));
    phase_end_ = phase_start_ + Ticks{step().divisor} * end_cycle;
}

void Sequencer::after_ramp_down(Instant at) {
    off(at);
    if (state_ == State::sending)
        set_phase(Phase::gap, at, at + Ticks{step().gap_ticks});
    else
        set_phase(Phase::ending, at, at + times_.current_decay);
}

void Sequencer::after_gap(Instant at) {
    const bool last_step = step_index_ + 1u == table_.step_count;
    if (last_step && sweep_index_ + 1u == table_.sweep_count) {
        if (off_confirmed_)
            fire(Event::table_done, at);
        else
            set_phase(Phase::ending, at, at + times_.current_decay);
        return;
    }
    if (last_step) ++sweep_index_;
    step_index_ = last_step ? std::uint8_t{0} : static_cast<std::uint8_t>(step_index_ + 1);
    start_step(at);
}

/// A stop of category 1 (IEC 60204-1): the cycle in hand is finished, then the amplitude falls to nothing
/// over what is left of the step's ramp cycles, counted from the moment of the stop.
void Sequencer::stop_drive(Instant at) {
    if (!drive_.on) {
        set_phase(Phase::ending, at, at + times_.current_decay);
        if (off_confirmed_) fire(Event::current_zero, at);
        return;
    }
    if (phase_ == Phase::ramp_down) return;  // already on its way, and shorter
    const Ticks elapsed = at - phase_start_;
    const std::uint32_t divisor = step().divisor;
    std::uint64_t whole_cycles = multiply(elapsed.count(), reciprocal_q64_).high;  // exact or one too few
    if (elapsed.count() - whole_cycles * divisor >= divisor) ++whole_cycles;
    const Ticks to_boundary{whole_cycles * divisor};
    const bool between_cycles = to_boundary == elapsed;
    std::uint32_t cycles = step().ramp_cycles - (between_cycles ? 0 : 1);
    std::uint32_t segments = ramp_segments_max;
    if (phase_ == Phase::ramp_up) {  // from a lower level, the same slope
        cycles = cycles * (segment_ + 1u) / (segments_ + 1u);
        segments = segment_;
    }
    plan_ramp_down(cycles, segments);
    if (between_cycles)
        begin_ramp_down(at);
    else
        set_phase(Phase::last_cycle, at, phase_start_ + to_boundary + Ticks{divisor});
}

void Sequencer::off(Instant at) {
    if (!drive_.on) return;
    drive_ = {.selection = drive_.selection, .since = at};
    off_since_ = at;
    off_confirmed_ = false;
}

void Sequencer::not_zero_in_time(Instant at) {
    raise(at, last_reading_at_ >= off_since_ ? Trip::over_current : Trip::watchdog);
}

/// Outside a sweep the relays open as soon as a reading has shown no current.
void Sequencer::release_selection(Instant at) {
    if (may_energise(state_) || drive_.on || !off_confirmed_ || drive_.selection == Selection{}) return;
    drive_.selection = {};
    drive_.since = at;
}

}  // namespace ampturn::core
