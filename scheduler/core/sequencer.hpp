#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "scheduler/core/config.hpp"
#include "scheduler/core/indicator.hpp"
#include "scheduler/core/reading.hpp"
#include "scheduler/core/records.hpp"
#include "scheduler/core/states.hpp"
#include "scheduler/core/table.hpp"
#include "scheduler/core/time.hpp"
#include "scheduler/core/trips.hpp"
#include "scheduler/core/utc_clock.hpp"

namespace ampturn::core {

/// The operator's controls. `emergency_stop` latches until `emergency_reset` (ISO 13850).
enum class Control : std::uint8_t { arm = 0, disarm, go, stop, emergency_stop, emergency_reset, acknowledge };
inline constexpr std::size_t control_count = 7;

enum class Reply : std::uint8_t {
    accepted = 0,
    not_now,       ///< the state has no such edge; nothing changed
    no_table,      ///< arm without a table
    too_hot,       ///< arm above a restart temperature
    no_time,       ///< go, a start on a UTC mark is asked for, and UTC is not known
    cause_active,  ///< acknowledge while a cause is active or the current is not known to be zero
};

/// What the power stage has to do from `since` on, until the next command.
struct Drive {
    bool on = false;
    Selection selection;               ///< relays; changes only while `on` is false and the current is zero
    std::uint32_t divisor = 0;         ///< of the step in hand; 0 when off
    std::uint32_t amplitude_q16 = 0;   ///< 65 536 = full; whole cycles at each level
    std::uint32_t target_ma_peak = 0;  ///< the step's target times the amplitude
    Instant since;                     ///< a drive cycle starts here (when on)
    constexpr bool operator==(const Drive&) const = default;
};

/// Where in a step the sequencer is.
enum class Phase : std::uint8_t {
    none = 0,
    waiting,   ///< for a UTC mark
    breaking,  ///< every relay open between two selections
    settling,  ///< relays closed, settling
    ramp_up,
    dwell,
    last_cycle,  ///< stop: the cycle in hand is finished
    ramp_down,
    gap,
    ending,  ///< power stage off, waiting for a reading that shows no current
};

struct Progress {
    Phase phase = Phase::none;
    std::uint8_t step_index = 0;  ///< from 0
    std::uint8_t step_count = 0;
    std::uint16_t sweep_index = 0;  ///< from 0
    std::uint16_t sweep_count = 0;
    Instant step_start;  ///< of the step in hand
    Instant phase_start;
    Instant phase_end;  ///< Instant::never() when a reading ends it
};

/// The transmitter's sequencer: a pure state machine. It reads no clock and does no I/O; a host calls it with
/// the time and what happened, then applies drive(), shows indicator(), drains records(), and calls advance()
/// at deadline() at the latest.
///
/// Contract with the host:
/// - `now` never goes backwards (it does: clock fault).
/// - A reading is sent at least every watchdog_ms while energised, at least once in each gap and after each
///   power-off (a reading at the instant of the off command or later that shows no current), and with the
///   continuity test of each fitted loop during self-check.
/// - While warning, sending or stopping, advance() is called within half a drive period of deadline() or 1 ms,
///   whichever is shorter; later is a watchdog trip. Timing is counted from the deadlines, never from the calls.
/// - Calls at the same instant are taken in the order made. Whatever is due at `now` happens before what is told.
///
/// Answers to stops: a trip or emergency stop turns drive().on to false in the same call. A stop ends with
/// the power stage off at most ramp_cycles * divisor ticks later.
class Sequencer {
  public:
    /// check(config) == ConfigFault::none, else the unit halts.
    explicit Sequencer(const Config& config);

    /// Takes a table image whole or refuses it whole. Refused with `busy` while armed, warning, sending or
    /// stopping.
    [[nodiscard]] TableCheck load(Instant now, std::span<const std::uint8_t> image);
    Reply control(Instant now, Control control);
    void measure(Instant now, const Reading& reading);
    /// A UTC second begins at `now` (from a time receiver).
    void mark(Instant now, std::uint64_t utc_second);
    /// Only time has passed.
    void advance(Instant now);
    /// When advance() must be called at the latest; Instant::never() if only events matter.
    Instant deadline() const { return deadline_; }
    /// When the silence of the measuring chain becomes a watchdog trip: send a reading before.
    /// never() while nothing is energised.
    Instant silent_at() const;

    State state() const { return state_; }
    Instant state_since() const { return state_since_; }
    const Drive& drive() const { return drive_; }
    Indicator indicator() const;
    Progress progress() const;
    TripSet latched() const { return latched_; }     ///< since the last acknowledge or power-on
    TripSet active() const { return active_; }       ///< now
    TripSet pending() const { return pending_; }     ///< seen, their debounce not over
    Trip first_trip() const { return first_trip_; }  ///< valid while !latched().empty()
    /// By the last reading, taken with the power stage off.
    bool current_is_zero() const { return off_confirmed_; }
    bool emergency_stop_latched() const { return emergency_stop_; }
    /// End of the warning, hence start of the first step; valid while `warning`.
    Instant start_at() const { return phase_end_; }
    const Table& table() const { return table_; }
    const Reading& last_reading() const { return reading_; }
    const UtcClock& utc() const { return utc_; }
    RecordRing& records() { return records_; }
    const RecordRing& records() const { return records_; }

  private:
    struct Times {  // Config's milliseconds as ticks
        Ticks warning, arm_timeout, self_check, self_check_limit, relay_break, current_decay, watchdog;
        Ticks current_debounce, sag_debounce, voltage_debounce, temperature_debounce, one_ms;
    };
    static Times times_of(const Config& config);

    static constexpr std::uint64_t seconds_between_marks_max = 0x7FFFFFFF;   ///< 68 years
    Ticks mark_jitter() const { return Ticks{config_.clock_hz / 100'000}; }  ///< 10 us: a receiver's pulse

    // sequencer.cpp: time, states, controls
    Instant begin(Instant now);
    void on_deadline(Instant at);
    void set_deadline();
    bool too_late(Instant now) const;
    bool fire(Event event, Instant at);
    void enter(State to, Instant at);
    void self_check_over(Instant at);
    bool all_checks_passed() const;
    void go_on_by_reading(Instant at);
    Instant mark_at_or_after(Instant t, Mark mark);
    void follow_mark(std::uint64_t utc_second);
    bool hot() const;
    bool needs_utc() const;
    static std::uint32_t step_crc(const Step& step);
    bool step_intact(std::size_t index) const;
    bool table_intact() const;
    Reply arm(Instant at);
    bool stop_by(Event event, Instant at);
    Reply answer(Instant at, Control control);
    void record(Instant at, RecordKind kind, std::uint8_t detail, std::int32_t value);

    // sequencer_steps.cpp: one step of a sweep
    const Step& step() const { return table_.steps[step_index_]; }
    void set_phase(Phase phase, Instant start, Instant end);
    void start_step(Instant at);
    void select(Instant at);
    void close_relays(Instant at);
    void phase_over(Instant at);
    void set_amplitude(Instant at, std::uint32_t amplitude_q16);
    void ramp_up_segment(Instant at);
    void plan_ramp_down(std::uint32_t cycles, std::uint32_t segments);
    void begin_ramp_down(Instant at);
    void ramp_down_segment(Instant at);
    void after_ramp_down(Instant at);
    void after_gap(Instant at);
    void stop_drive(Instant at);
    void off(Instant at);
    void not_zero_in_time(Instant at);
    void release_selection(Instant at);

    // sequencer_trips.cpp: trips found in readings
    void judge(Instant at);
    void judge_current(Instant at, bool on);
    bool takes_too_much(std::size_t loop) const;
    bool driven_loop_takes_too_much() const;
    void judge_loops(Instant at, bool on);
    void judge_emergency_stop(Instant at);
    void judge_one(Instant at, Trip trip, bool beyond, bool clear, Ticks debounce);
    void raise(Instant at, Trip trip);
    std::int32_t largest_current_ma() const;
    std::int32_t measured(Trip trip) const;
    std::int32_t worst_resistance_mohm(Trip trip) const;

    Config config_;
    Times times_;
    UtcClock utc_;
    Table table_;
    std::array<std::uint32_t, steps_max> step_crcs_{};  ///< checksum of each step in RAM
    RecordRing records_;

    Instant now_;
    Instant deadline_ = Instant::never();
    Instant state_since_;
    Instant step_start_;
    Instant phase_start_;
    Instant phase_end_ = Instant::never();
    Instant off_since_;
    Instant last_reading_at_;
    std::uint64_t reciprocal_q64_ = 0;  ///< 2^64 / divisor of the step in hand
    std::uint64_t awaited_second_ = 0;  ///< UTC; valid while waiting for a mark
    Drive drive_;
    Reading reading_;
    std::array<Instant, trip_count> beyond_since_{};
    std::array<Instant, trip_count> trips_at_{};  ///< end of the debounce
    TripSet pending_, active_, latched_;
    Trip first_trip_ = Trip::over_current;
    State state_ = State::unpowered;
    Phase phase_ = Phase::none;
    std::uint8_t step_index_ = 0;
    std::uint16_t sweep_index_ = 0;
    std::uint32_t ramp_down_cycles_ = 0;
    std::uint32_t ramp_down_top_q16_ = 0;
    std::uint8_t segment_ = 0;
    std::uint8_t segments_ = 0;
    bool off_confirmed_ = false;
    bool checks_done_ = false;
    bool emergency_stop_ = false;
    bool table_bad_ = false;
};

}  // namespace ampturn::core
