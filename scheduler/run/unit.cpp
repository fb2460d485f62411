#include "scheduler/run/unit.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>
#include <utility>

#include "scheduler/run/core_loop.hpp"

namespace ampturn::run {
namespace {

core::Config checked(const core::Config& config) {
    if (const core::ConfigFault fault = core::check(config); fault != core::ConfigFault::none)
        throw std::invalid_argument("unit settings refused, reason " +
                                    std::to_string(static_cast<int>(fault)));
    return config;
}

}  // namespace

model::transmitter::Drive drive_of(const core::Drive& drive, const core::Step& step, double ticks_per_s) {
    model::transmitter::Drive out;
    if (!drive.on) return out;
    out.mode = model::transmitter::DriveMode::sending;
    out.loop = loop_of(drive.selection.loop);
    out.tap_index = drive.selection.tap - 1;
    out.capacitor_index = drive.selection.capacitor - 1;
    out.frequency_hz = ticks_per_s / drive.divisor;
    out.target_fundamental_peak_a = 1e-3 * step.current_ma_peak;
    out.amplitude_fraction = drive.amplitude_q16 / 65536.0;
    return out;
}

Unit::Unit(UnitSetup setup, model::transmitter::PlantState plant)
    : measuring_(setup.measuring),
      clock_hz_(setup.config.clock_hz),
      ticks_per_s_(setup.config.clock_hz * (1 + 1e-6 * setup.true_clock_error_ppm)),
      core_(checked(setup.config)),
      plant_(std::move(setup.transmitter), plant),
      current_a_(setup.seed, stream_of("current of loop A")),
      current_b_(setup.seed, stream_of("current of loop B")),
      bus_v_(setup.seed, stream_of("bus voltage")),
      battery_v_(setup.seed, stream_of("battery voltage")),
      winding_c_(setup.seed, stream_of("winding temperature")),
      electronics_c_(setup.seed, stream_of("electronics temperature")),
      resistance_(setup.seed, stream_of("loop resistance")) {}

double Unit::seconds(core::Instant t) const {
    return static_cast<double>(t.ticks_since_power_on()) / ticks_per_s_;
}

core::Instant Unit::instant_at(double true_s) const {
    return core::Instant{static_cast<std::uint64_t>(std::ceil(true_s * ticks_per_s_))};
}

core::Instant Unit::next_due() const { return std::min(core_.deadline(), next_reading_); }

model::transmitter::Drive Unit::plant_drive() const {
    const bool checks = core_.state() == core::State::self_check;
    model::transmitter::Drive out;
    if (checks)
        out.mode = model::transmitter::DriveMode::self_check;
    else
        out = drive_of(core_.drive(), core_.table().steps[core_.progress().step_index], ticks_per_s_);
    out.ambient_c = ambient_c_ ? ambient_c_(now_s()) : 20.0;
    out.battery_ambient_c = battery_c_ ? battery_c_(now_s()) : out.ambient_c;
    return out;
}

model::transmitter::PlantReadings Unit::readings() const { return plant_.read(plant_drive()); }

void Unit::move_plant(core::Instant to) {
    while (now_ < to) {
        const core::Instant from = now_;
        Interval interval{.from = from,
                          .to = to,
                          .start_s = seconds(from),
                          .end_s = seconds(to),
                          .state = core_.state(),
                          .drive = core_.drive(),
                          .progress = core_.progress()};
        const double dt_s = interval.end_s - interval.start_s;
        interval.plant = plant_.advance(plant_drive(), dt_s);
        bool power_changed = false;
        if (interval.plant.crossing && interval.plant.advanced_s < dt_s) {
            // Stop where something happened; at least one tick on, so that time always moves.
            to = std::clamp(instant_at(interval.start_s + interval.plant.advanced_s), from + core::Ticks{1u},
                            to);
            interval.to = to;
            interval.end_s = seconds(to);
            using model::transmitter::Crossing;
            power_changed = *interval.plant.crossing == Crossing::battery_cutoff ||
                            *interval.plant.crossing == Crossing::battery_empty ||
                            *interval.plant.crossing == Crossing::battery_power;
        }
        now_ = to;
        if (observer_) observer_(interval);
        if (power_changed) next_reading_ = now_;
    }
}

void Unit::take_reading() {
    const model::transmitter::PlantReadings r = readings();
    const Measuring& m = measuring_;
    const std::uint64_t n = now_.ticks_since_power_on() / core::ticks_of_ms(clock_hz_, m.averaged_ms).count();
    core::Reading reading;
    const core::Drive& drive = core_.drive();
    const bool on = drive.on;
    const auto current_a = [&](model::loop::LoopSelection loop) {
        const model::loop::LoopSelection sends = loop_of(drive.selection.loop);
        if (!on) return 0.0;
        if (!model::loop::feeds(sends, loop)) return r.idle_fundamental_peak_a;
        return sends == model::loop::LoopSelection::both && loop == model::loop::LoopSelection::b
                   ? r.fundamental_b_peak_a
                   : r.fundamental_peak_a;
    };
    reading.loop_current_ma = {current_a_.read_milli(m.current, current_a(model::loop::LoopSelection::a), n),
                               current_b_.read_milli(m.current, current_a(model::loop::LoopSelection::b), n)};
    if (core_.state() == core::State::self_check) {
        model::transmitter::Drive test = plant_drive();
        for (const model::loop::LoopSelection loop : model::loop::each_loop) {
            if (loop == model::loop::LoopSelection::b && !transmitter().design.loop_b) continue;
            const std::size_t i = model::loop::index_of(loop);
            test.loop = loop;
            const double ohm = plant_.read(test).loop_resistance_ohm;
            reading.loop_resistance_mohm[i] = resistance_.read_milli(m.resistance, ohm, 2 * n + i);
        }
    }
    reading.bus_mv = bus_v_.read_milli(m.voltage, r.bus_v, n);
    reading.battery_mv = battery_v_.read_milli(m.voltage, r.battery_v, n);
    reading.winding_mdeg_c = winding_c_.read_milli(m.temperature, r.winding_c, n);
    reading.electronics_mdeg_c = electronics_c_.read_milli(m.temperature, r.electronics_c, n);
    reading.supply = r.reversed   ? core::Supply::reversed
                     : r.supplied ? core::Supply::right
                                  : core::Supply::absent;
    core_.measure(now_, reading);
    next_reading_ = now_ + reading_period();
}

core::Ticks Unit::reading_period() const {
    const Measuring& m = measuring_;
    const std::uint32_t ms = core_.state() == core::State::self_check ? m.self_check_period_ms
                             : core::may_energise(core_.state())      ? m.energised_period_ms
                                                                      : m.idle_period_ms;
    return core::ticks_of_ms(clock_hz_, ms);
}

/// After every call into the core: a reading soon after the power stage went off (the core waits for one that
/// shows no current) and soon after the state changed (another sampling period may hold).
void Unit::after_core() {
    const bool on = core_.drive().on;
    const core::Instant soon = now_ + core::Ticks{std::uint64_t{clock_hz_} / 2000 + 1};  // 0.5 ms
    if ((was_on_ && !on) || core_.state() != last_state_) next_reading_ = std::min(next_reading_, soon);
    was_on_ = on;
    last_state_ = core_.state();
}

void Unit::run_until(core::Instant t) {
    for (;;) {
        const core::Instant next = std::min({core_.deadline(), next_reading_, t});
        move_plant(std::max(next, now_));
        // The plant may have stopped short of `next` and asked for a reading.
        const bool deadline_due = core_.deadline() <= now_;
        const bool reading_due = next_reading_ <= now_;
        if (deadline_due) core_.advance(now_);
        if (deadline_due) after_core();
        if (reading_due) {
            take_reading();
            after_core();
        }
        if (!deadline_due && !reading_due && now_ >= t) return;
    }
}

void Unit::pass_to(core::Instant t, const model::transmitter::PlantState& plant) {
    now_ = std::max(now_, t);
    plant_.state() = plant;
    take_reading();
    after_core();
    run_until(now_);
}

core::TableCheck Unit::load(std::span<const std::uint8_t> image) {
    const core::TableCheck result = core_.load(now_, image);
    after_core();
    return result;
}

core::Reply Unit::control(core::Control control) {
    const core::Reply reply = core_.control(now_, control);
    after_core();
    return reply;
}

void Unit::mark(std::uint64_t utc_second) {
    core_.mark(now_, utc_second);
    after_core();
}

void Unit::measure_now() {
    take_reading();
    after_core();
}

}  // namespace ampturn::run
