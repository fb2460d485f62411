#pragma once

#include <cstdint>
#include <functional>
#include <span>

#include "model/transmitter/running_plant.hpp"
#include "scheduler/core/sequencer.hpp"
#include "scheduler/run/adc.hpp"

namespace ampturn::run {

/// How often the host samples its converters, and what they are.
struct Measuring {
    std::uint32_t energised_period_ms = 500;  // below the core's watchdog
    std::uint32_t self_check_period_ms = 200;
    std::uint32_t idle_period_ms = 1000;
    /// A converter averages so long, whole periods of 50 and 60 Hz mains (common practice, no source): its noise is one value
    /// throughout, so that a reading does not hang on the tick at which it is taken.
    std::uint32_t averaged_ms = 100;
    AdcChannel current{.lowest = 0, .highest = 80, .bits = 14, .noise_rms = 0.005};
    AdcChannel voltage{.lowest = 0, .highest = 80, .bits = 14, .noise_rms = 0.005};
    AdcChannel temperature{.lowest = -50, .highest = 200, .bits = 12, .noise_rms = 0.05};
    AdcChannel resistance{.lowest = 0, .highest = 1000, .bits = 20, .noise_rms = 0.001};
};

struct UnitSetup {
    core::Config config;
    model::transmitter::Transmitter transmitter;
    Measuring measuring;
    std::uint64_t seed = 1;
    /// The reference clock's true error, + = fast. config.clock_error_ppb is what the unit believes.
    double true_clock_error_ppm = 0;
};

/// A piece of virtual time during which the core's command did not change.
struct Interval {
    core::Instant from, to;
    double start_s, end_s;  // true seconds since the unit was made
    core::State state;
    core::Drive drive;
    core::Progress progress;
    model::transmitter::PlantResult plant;
};

/// What the plant is driven with: the core's command, for a step of its table, by a clock of so many ticks a true second.
/// The air is left at its default.
model::transmitter::Drive drive_of(const core::Drive& drive, const core::Step& step, double ticks_per_s);

/// Core and plant in virtual time: the whole transmitter, without a wall clock. The core meets the plant only
/// through its readings; faults are set in plant().faults. Deterministic: same setup, same calls, same results.
class Unit {
  public:
    /// check(config) must be none (else std::invalid_argument). The core is "powered" whenever the plant supplies it.
    Unit(UnitSetup setup, model::transmitter::PlantState plant);

    /// Runs to a moment, taking every deadline and reading on the way. t >= now().
    void run_until(core::Instant t);
    /// The next moment at which anything is due; a pacing host sleeps until then.
    core::Instant next_due() const;

    [[nodiscard]] core::TableCheck load(std::span<const std::uint8_t> image);
    core::Reply control(core::Control control);
    /// Tells the core that a UTC second begins now.
    void mark(std::uint64_t utc_second);
    /// Takes a reading now, as after a change of faults or battery that the core should see at once.
    void measure_now();

    /// Takes a moment and the plant at it from elsewhere (sweep_replay.hpp), with a reading. The core must be in standby, which
    /// nothing but readings ends. t >= now().
    void pass_to(core::Instant t, const model::transmitter::PlantState& plant);

    core::Instant now() const { return now_; }
    double now_s() const { return seconds(now_); }
    /// True seconds of a moment, and the first moment not before a time.
    double seconds(core::Instant t) const;
    core::Instant instant_at(double true_s) const;

    double ticks_per_s() const { return ticks_per_s_; }

    core::Sequencer& core() { return core_; }
    const core::Sequencer& core() const { return core_; }
    model::transmitter::PlantState& plant() { return plant_.state(); }
    const model::transmitter::PlantState& plant() const { return plant_.state(); }
    const model::transmitter::Transmitter& transmitter() const { return plant_.transmitter(); }
    /// As when another battery set is joined; the plant's charge stays as it is.
    void set_battery_bank(const model::transmitter::BatteryBank& bank) { plant_.set_battery_bank(bank); }
    model::transmitter::PlantReadings readings() const;

    /// Air temperature against true seconds since the unit was made; the default is 20 C.
    void set_ambient(std::function<double(double)> ambient_c) { ambient_c_ = std::move(ambient_c); }
    /// Battery temperature likewise; without it the battery is as warm as the air.
    void set_battery_temperature(std::function<double(double)> battery_c) {
        battery_c_ = std::move(battery_c);
    }
    /// Called after each interval, in order.
    void on_interval(std::function<void(const Interval&)> observer) { observer_ = std::move(observer); }

  private:
    model::transmitter::Drive plant_drive() const;
    void move_plant(core::Instant to);
    void take_reading();
    void after_core();
    core::Ticks reading_period() const;

    Measuring measuring_;
    std::uint32_t clock_hz_;
    double ticks_per_s_;
    core::Sequencer core_;
    model::transmitter::RunningPlant plant_;
    Adc current_a_, current_b_, bus_v_, battery_v_, winding_c_, electronics_c_, resistance_;
    std::function<double(double)> ambient_c_, battery_c_;
    std::function<void(const Interval&)> observer_;
    core::Instant now_{0u};
    core::Instant next_reading_{0u};
    bool was_on_ = false;
    core::State last_state_ = core::State::unpowered;
};

}  // namespace ampturn::run
