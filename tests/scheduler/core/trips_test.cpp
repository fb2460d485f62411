// Every cause of a trip: threshold, debounce, hysteresis, from every state, with nothing and with current flowing.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/scheduler/core/sequencer_fixture.hpp"

namespace ampturn::core {
namespace trips_test {

using test::SequencerFixture;
using test::three_steps;

SequencerFixture loaded() {
    SequencerFixture unit;
    EXPECT_EQ(unit.load(three_steps()), TableCheck{});
    return unit;
}

/// A cause as the measuring chain shows it while nothing is sent, and the debounce of Config.
struct OffCause {
    Trip trip;
    void (*spoil)(SequencerFixture&);
    std::uint32_t debounce_ms;
};
const OffCause off_causes[] = {
    {Trip::over_current,
     [](SequencerFixture& u) {
         u.current_ma = {51, -1};
     },
     0},
    {Trip::open_loop, [](SequencerFixture& u) { u.reading.loop_resistance_mohm[0] = 100'001; }, 20},
    {Trip::shorted_loop, [](SequencerFixture& u) { u.reading.loop_resistance_mohm[1] = 19; }, 20},
    {Trip::under_voltage, [](SequencerFixture& u) { u.reading.battery_mv = 20'999; }, 200},
    {Trip::over_temperature_winding, [](SequencerFixture& u) { u.reading.winding_mdeg_c = 120'001; }, 500},
    {Trip::over_temperature_electronics, [](SequencerFixture& u) { u.reading.electronics_mdeg_c = 85'001; },
     500},
    {Trip::reversed_supply, [](SequencerFixture& u) { u.reading.supply = Supply::reversed; }, 0},
    {Trip::table_fault, [](SequencerFixture& u) { u.reading.table_store_ok = false; }, 0},
    {Trip::clock_fault, [](SequencerFixture& u) { u.reading.clock_ok = false; }, 0},
};

struct Way {
    const char* name;
    State state;
    void (*go)(SequencerFixture&);
};
const Way ways[] = {
    {"self_check", State::self_check,
     [](SequencerFixture& u) {
         u.measure();
         u.run_ms(200);
     }},
    {"standby", State::standby, [](SequencerFixture& u) { u.to_standby(); }},
    {"armed", State::armed, [](SequencerFixture& u) { u.to_armed(); }},
    {"warning", State::warning, [](SequencerFixture& u) { u.to_warning(); }},
    {"resting", State::resting,
     [](SequencerFixture& u) {
         u.to_sending();
         u.reading.winding_mdeg_c = 100'000;
         u.run_while(State::sending);
         u.run_ms(1'000);
     }},
};

TEST(Trips, EveryCauseTripsFromEveryStateInWhichNothingFlows) {
    for (const Way& way : ways) {
        for (const OffCause& cause : off_causes) {
            SCOPED_TRACE(std::string(way.name) + ", cause " + std::to_string(static_cast<int>(cause.trip)));
            SequencerFixture unit = loaded();
            way.go(unit);
            ASSERT_EQ(unit.sequencer.state(), way.state);
            const Reading good = unit.reading;
            cause.spoil(unit);
            unit.measure();
            const Instant seen = unit.now;
            if (cause.debounce_ms > 0) {
                EXPECT_EQ(unit.sequencer.state(), way.state) << "debounced";
                unit.run_to(seen + ticks_of_ms(24'000'000, cause.debounce_ms));
            }
            EXPECT_EQ(unit.sequencer.state(), State::tripped);
            EXPECT_EQ(unit.sequencer.state_since(), seen + ticks_of_ms(24'000'000, cause.debounce_ms));
            EXPECT_EQ(unit.sequencer.first_trip(), cause.trip);
            EXPECT_TRUE(unit.sequencer.indicator().has_cause);
            EXPECT_EQ(unit.sequencer.indicator().cause, cause.trip);
            unit.measure();
            EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active);
            unit.reading = good;
            unit.reading.winding_mdeg_c = 20'000;
            unit.current_ma = {-1, -1};
            unit.measure();
            EXPECT_EQ(unit.sequencer.state(), State::tripped) << "latched";
            EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);
            unit.run_ms(1'000);
            EXPECT_EQ(unit.sequencer.state(), State::standby);
        }
    }
}

TEST(Trips, AShorterExcursionThanTheDebounceIsForgotten) {
    for (const OffCause& cause : off_causes) {
        if (cause.debounce_ms == 0) continue;
        SequencerFixture unit = loaded();
        unit.to_standby();
        const Reading good = unit.reading;
        for (int i = 0; i < 5; ++i) {
            unit.reading = good;
            cause.spoil(unit);
            unit.measure();
            unit.run_to(unit.now + Ticks{ticks_of_ms(24'000'000, cause.debounce_ms).count() - 1});
            unit.reading = good;
            unit.measure();
        }
        EXPECT_EQ(unit.sequencer.state(), State::standby);
        EXPECT_TRUE(unit.sequencer.latched().empty());
    }
}

struct OnCause {
    Trip trip;
    void (*spoil)(SequencerFixture&);
    std::uint32_t debounce_ms;
};

TEST(Trips, EveryCauseTripsWhileSendingAndWhileStopping) {
    const OnCause causes[] = {
        {Trip::over_current,
         [](SequencerFixture& u) {
             u.current_ma = {-1, 45'001};
         },
         0},
        {Trip::shorted_loop,
         [](SequencerFixture& u) {
             u.current_ma = {45'001, -1};
         },
         0},
        {Trip::open_loop,
         [](SequencerFixture& u) {
             u.current_ma = {199, -1};
         },
         20},
        {Trip::shorted_loop,
         [](SequencerFixture& u) {
             u.current_ma = {12'001, -1};
         },
         20},
        {Trip::under_voltage, [](SequencerFixture& u) { u.reading.battery_mv = 20'999; }, 2'000},
        {Trip::over_temperature_winding, [](SequencerFixture& u) { u.reading.winding_mdeg_c = 120'001; },
         500},
        {Trip::over_temperature_electronics,
         [](SequencerFixture& u) { u.reading.electronics_mdeg_c = 85'001; }, 500},
        {Trip::reversed_supply, [](SequencerFixture& u) { u.reading.supply = Supply::reversed; }, 0},
        {Trip::table_fault, [](SequencerFixture& u) { u.reading.table_store_ok = false; }, 0},
        {Trip::clock_fault, [](SequencerFixture& u) { u.reading.clock_ok = false; }, 0},
    };
    Table table = three_steps();
    table.steps[0].cycles = 48'000;       // 20 s
    table.steps[0].ramp_cycles = 12'000;  // 5 s
    for (const OnCause& cause : causes) {
        for (const bool stopping : {false, true}) {
            if (stopping && cause.trip == Trip::open_loop) continue;  // current falls anyway
            SCOPED_TRACE("cause " + std::to_string(static_cast<int>(cause.trip)) +
                         (stopping ? " stopping" : " sending"));
            SequencerFixture unit;
            ASSERT_EQ(unit.load(table), TableCheck{});
            unit.to_phase(Phase::dwell);
            unit.run_ms(1'000);
            if (stopping) unit.control(Control::stop);
            ASSERT_EQ(unit.sequencer.state(), stopping ? State::stopping : State::sending);
            cause.spoil(unit);
            unit.measure();
            const Instant seen = unit.now;
            if (cause.debounce_ms > 0) {
                EXPECT_TRUE(unit.sequencer.drive().on);
                unit.run_to(seen + Ticks{ticks_of_ms(24'000'000, cause.debounce_ms).count() - 1});
                EXPECT_TRUE(unit.sequencer.drive().on);
                unit.reads = false;
                unit.run_to(seen + ticks_of_ms(24'000'000, cause.debounce_ms));
            }
            EXPECT_EQ(unit.sequencer.state(), State::tripped);
            EXPECT_EQ(unit.sequencer.first_trip(), cause.trip);
            EXPECT_FALSE(unit.sequencer.drive().on);
            EXPECT_EQ(unit.sequencer.drive().since, seen + ticks_of_ms(24'000'000, cause.debounce_ms))
                << "off in the tick of the detection";
            EXPECT_EQ(unit.sequencer.drive().selection.loop, Loop::a) << "no relay moves under current";
        }
    }
}

TEST(Trips, OverCurrentIsStrictlyAboveItsLimit) {
    SequencerFixture unit;
    Table table = three_steps();
    table.steps[0].current_ma_peak = 40'000;
    ASSERT_EQ(unit.load(table), TableCheck{});
    unit.to_phase(Phase::dwell);
    unit.current_ma = {45'000, -1};
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::sending);
    unit.current_ma = {45'001, -1};
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
}

TEST(Trips, UnderVoltageIsGoneOnlyAboveItsHysteresis) {
    SequencerFixture unit = loaded();
    unit.to_standby();
    unit.reading.battery_mv = 20'000;
    unit.measure();
    unit.run_ms(200);
    ASSERT_EQ(unit.sequencer.state(), State::tripped);
    unit.reading.battery_mv = 23'000;
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active);
    unit.reading.battery_mv = 23'001;
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);
}

TEST(Trips, ALowBusCountsWhenItsLimitIsSet) {
    Config config;
    config.bus_low_mv = 40'000;
    SequencerFixture unit(config);
    unit.measure();
    unit.run_ms(200);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::under_voltage);
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
}

TEST(Trips, BothLoopsAreWatchedInQuadrature) {
    SequencerFixture unit = loaded();
    unit.to_phase(Phase::dwell, 2);
    unit.current_ma = {-1, 100};
    unit.measure();
    unit.run_ms(20);
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::open_loop);
}

TEST(Trips, TemperatureHysteresis) {
    SequencerFixture unit = loaded();
    unit.to_standby();
    unit.reading.winding_mdeg_c = 120'001;
    unit.measure();
    unit.run_ms(500);
    ASSERT_EQ(unit.sequencer.state(), State::tripped);
    unit.reading.winding_mdeg_c = 110'000;
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active);
    unit.reading.winding_mdeg_c = 109'999;
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);
}

TEST(Trips, SilenceWhileEnergisedTripsTheWatchdog) {
    SequencerFixture unit = loaded();
    unit.to_phase(Phase::dwell, 1);
    unit.measure();
    unit.reads = false;
    const Instant last = unit.now;
    EXPECT_EQ(unit.sequencer.silent_at(), last + Ticks{48'000'000});
    unit.run_to(Instant{unit.sequencer.silent_at().ticks_since_power_on() - 1});
    EXPECT_TRUE(unit.sequencer.drive().on);
    unit.run_ms(1);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::watchdog);
    EXPECT_EQ(unit.sequencer.drive().since, last + Ticks{48'000'000});
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted) << "a reading has come: the cause is gone";
}

TEST(Trips, AHostThatComesTooLateTripsTheWatchdog) {
    for (const std::uint64_t late : {std::uint64_t{5'000}, std::uint64_t{5'001}}) {
        SequencerFixture unit = loaded();
        unit.to_phase(Phase::ramp_up);  // divisor 10 000: half a period is 5000 ticks
        unit.now = unit.sequencer.deadline() + Ticks{late};
        unit.sequencer.advance(unit.now);
        EXPECT_EQ(unit.sequencer.state(), late == 5'000 ? State::sending : State::tripped);
        EXPECT_EQ(unit.sequencer.drive().on, late == 5'000);
    }
    SequencerFixture slow = loaded();
    slow.to_phase(Phase::dwell, 1);  // divisor 40 000: 20 000 ticks, and 1 ms is 24 000
    slow.now = slow.sequencer.progress().phase_end + Ticks{20'001};
    slow.sequencer.advance(slow.now);
    EXPECT_EQ(slow.sequencer.first_trip(), Trip::watchdog);
}

TEST(Trips, LatenessNeverShiftsTheSchedule) {
    SequencerFixture unit = loaded();
    unit.to_phase(Phase::ramp_up);
    const Instant start = unit.sequencer.progress().phase_start;
    while (unit.sequencer.progress().phase == Phase::ramp_up) {
        unit.now = unit.sequencer.deadline() + Ticks{4'999};
        unit.sequencer.advance(unit.now);
    }
    EXPECT_EQ(unit.sequencer.progress().phase_start, start + Ticks{240'000});
}

TEST(Trips, TimeThatRunsBackwardsIsAClockFault) {
    SequencerFixture unit = loaded();
    unit.to_phase(Phase::dwell);
    unit.run_ms(100);
    unit.sequencer.advance(Instant{unit.now.ticks_since_power_on() - 1});
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::clock_fault);
    EXPECT_FALSE(unit.sequencer.drive().on);
}

TEST(Trips, MarksThatDisagreeByMoreThanTheLimitAreAClockFault) {
    for (const std::uint64_t error :
         {std::uint64_t{240 + 120'000}, std::uint64_t{240 + 120'001}}) {  // 50 ppm of 100 s, and 10 us
        SequencerFixture unit = loaded();
        unit.to_standby();
        unit.sequencer.mark(unit.now, 1'000);
        unit.run_to(unit.now + Ticks{std::uint64_t{2'400'000'000} + error});
        unit.sequencer.mark(unit.now, 1'100);
        EXPECT_EQ(unit.sequencer.state(), error == 120'240 ? State::standby : State::tripped);
        const std::vector<Record> records = unit.drain();
        const auto mark = std::find_if(records.rbegin(), records.rend(),
                                       [](const Record& r) { return r.kind == RecordKind::mark; });
        ASSERT_NE(mark, records.rend());
        EXPECT_EQ(mark->value, static_cast<std::int32_t>(error));
        EXPECT_EQ(mark->detail, error == 120'240 ? 0 : 1) << "the record says whether it was a fault";
    }
    SequencerFixture unit = loaded();
    unit.to_standby();
    unit.sequencer.mark(unit.now, 1'000);
    unit.run_ms(1'000);
    unit.sequencer.mark(unit.now, 1'000);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::clock_fault) << "the same second twice";
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);
}

TEST(Trips, ReversedLeadsShowBeforeAnySupplyWasSeen) {
    SequencerFixture unit = loaded();
    unit.reading.supply = Supply::reversed;
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::reversed_supply);
    unit.reading.supply = Supply::right;
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);
    EXPECT_EQ(unit.sequencer.state(), State::self_check);
}

TEST(Trips, AnEmergencyStopPressedWithoutSupplyTripsWhenItReturns) {
    SequencerFixture unit = loaded();
    EXPECT_EQ(unit.control(Control::emergency_stop), Reply::accepted);
    EXPECT_EQ(unit.sequencer.state(), State::unpowered);
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::emergency_stop);
}

TEST(Trips, SeveralCausesAreAllLatchedAndTheFirstIsShown) {
    SequencerFixture unit = loaded();
    unit.to_standby();
    unit.control(Control::emergency_stop);
    unit.reading.clock_ok = false;
    unit.reading.winding_mdeg_c = 130'000;
    unit.measure();
    unit.run_ms(500);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::emergency_stop);
    for (const Trip trip : {Trip::emergency_stop, Trip::clock_fault, Trip::over_temperature_winding})
        EXPECT_TRUE(unit.sequencer.latched().has(trip));
    unit.control(Control::emergency_reset);
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active);
}

TEST(Trips, ADamagedTableInMemoryNeverRuns) {
    SequencerFixture unit = loaded();
    unit.to_standby();
    const_cast<Table&>(unit.sequencer.table()).steps[1].cycles ^= 0x10;  // a flipped bit
    EXPECT_EQ(unit.control(Control::arm), Reply::no_table);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::table_fault);
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active);
    EXPECT_EQ(unit.load(three_steps()), TableCheck{}) << "a good table cures it";
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);

    SequencerFixture sending = loaded();
    sending.to_phase(Phase::dwell);
    const_cast<Table&>(sending.sequencer.table()).steps[1].current_ma_peak ^= 0x4000;
    sending.run_while(State::sending);
    EXPECT_EQ(sending.sequencer.state(), State::tripped);
    EXPECT_EQ(sending.sequencer.first_trip(), Trip::table_fault);
}

}  // namespace trips_test
}  // namespace ampturn::core
