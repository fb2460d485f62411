// What the core costs a host: a day's planner and the simulated unit call it for every deadline and reading. Prints
// also the longest time from an event of category 0 to "power stage off", in ticks, over every state and phase.

#include <benchmark/benchmark.h>

#include <algorithm>

#include "tests/scheduler/core/random_table.hpp"
#include "tests/scheduler/core/sequencer_fixture.hpp"

namespace {

using namespace ampturn::core;
using test::SequencerFixture;

/// A whole sweep of 64 random steps: deadlines, one reading each. items = calls into the core.
void sweep_of_64_steps(benchmark::State& state) {
    test::Draws draws(1);
    const Table table = test::random_table(draws, steps_max);
    Config config;
    config.watchdog_ms = 4'000'000;
    config.open_loop_ma = 51;
    std::uint64_t calls = 0, checksum = 0;
    for (auto _ : state) {
        SequencerFixture unit(config);
        benchmark::DoNotOptimize(unit.load(table));
        unit.to_sending();
        while (unit.sequencer.state() == State::sending) {
            unit.now = unit.sequencer.deadline();
            unit.sequencer.advance(unit.now);
            unit.measure();
            calls += 2;
        }
        checksum = checksum * 31 + unit.sequencer.state_since().ticks_since_power_on();
    }
    state.SetItemsProcessed(static_cast<std::int64_t>(calls));
    state.counters["checksum"] = static_cast<double>(checksum % 1'000'000);
}
BENCHMARK(sweep_of_64_steps);

void reading_in_the_dwell(benchmark::State& state) {
    SequencerFixture unit;
    benchmark::DoNotOptimize(unit.load(test::three_steps()));
    unit.to_phase(Phase::dwell);
    for (auto _ : state) unit.measure();
    state.counters["checksum"] =
        static_cast<double>(unit.sequencer.deadline().ticks_since_power_on() % 1'000'000);
}
BENCHMARK(reading_in_the_dwell);

void load_of_64_steps(benchmark::State& state) {
    test::Draws draws(2);
    const Table table = test::random_table(draws, steps_max);
    SequencerFixture unit;
    TableCheck result;
    for (auto _ : state) benchmark::DoNotOptimize(result = unit.load(table));
    state.counters["checksum"] = static_cast<double>(result.reason);
}
BENCHMARK(load_of_64_steps);

/// Emergency stop, over-current, lost supply and a late call in every phase of a step; the answer is the time
/// from the event to the `since` of the off command.
void response_of_category_0(benchmark::State& state) {
    std::uint64_t longest_ticks = 0, cases = 0;
    using Cause = void (*)(SequencerFixture&);
    constexpr Cause causes[] = {[](SequencerFixture& u) { u.control(Control::emergency_stop); },
                                [](SequencerFixture& u) {
                                    u.current_ma = {50'000, 50'000};
                                    u.measure();
                                },
                                [](SequencerFixture& u) {
                                    u.reading.supply = Supply::absent;
                                    u.measure();
                                },
                                [](SequencerFixture& u) {
                                    u.reading.supply = Supply::reversed;
                                    u.measure();
                                },
                                [](SequencerFixture& u) {
                                    u.reading.clock_ok = false;
                                    u.measure();
                                }};
    for (auto _ : state) {
        for (const Phase phase : {Phase::ramp_up, Phase::dwell, Phase::last_cycle, Phase::ramp_down}) {
            for (const Cause cause : causes) {
                SequencerFixture unit;
                benchmark::DoNotOptimize(unit.load(test::three_steps()));
                unit.to_phase(phase == Phase::last_cycle ? Phase::dwell : phase);
                unit.run_to(unit.now + Ticks{1'234u});
                if (phase == Phase::last_cycle) unit.control(Control::stop);
                const Instant event = unit.now;
                cause(unit);
                if (unit.sequencer.drive().on) state.SkipWithError("the power stage is on");
                longest_ticks = std::max(longest_ticks, (unit.sequencer.drive().since - event).count());
                ++cases;
            }
        }
    }
    state.counters["longest_ticks"] = static_cast<double>(longest_ticks);
    state.counters["bound_ticks"] = 24'000'000.0 / 40'000 / 2;
    state.SetItemsProcessed(static_cast<std::int64_t>(cases));
}
BENCHMARK(response_of_category_0);

}  // namespace
