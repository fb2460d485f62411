// Where each trip begins and where its cause is gone, to the last digit; and what its record says was measured.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/scheduler/core/sequencer_fixture.hpp"

namespace ampturn::core {
namespace trip_thresholds_test {

using test::SequencerFixture;
using test::three_steps;

SequencerFixture standing(const Config& config = {}) {
    SequencerFixture unit(config);
    EXPECT_EQ(unit.load(three_steps()), TableCheck{});
    unit.to_standby();
    EXPECT_EQ(unit.sequencer.state(), State::standby);
    return unit;
}

/// A quantity of the readings with the last value that does not trip, the first that does, the last at which the cause still
/// stands and the first at which it is gone, and what the record of the trip shows.
struct Threshold {
    const char* what;
    Trip trip;
    void (*set)(SequencerFixture&, std::int32_t);
    std::int32_t good, bad, stays, gone;
};

const Threshold thresholds[] = {
    {"winding", Trip::over_temperature_winding,
     [](SequencerFixture& u, std::int32_t v) { u.reading.winding_mdeg_c = v; }, 120'000, 120'001, 110'000,
     109'999},
    {"electronics", Trip::over_temperature_electronics,
     [](SequencerFixture& u, std::int32_t v) { u.reading.electronics_mdeg_c = v; }, 85'000, 85'001, 75'000,
     74'999},
    {"battery", Trip::under_voltage, [](SequencerFixture& u, std::int32_t v) { u.reading.battery_mv = v; },
     21'000, 20'999, 23'000, 23'001},
    {"loop A open", Trip::open_loop,
     [](SequencerFixture& u, std::int32_t v) { u.reading.loop_resistance_mohm[0] = v; }, 100'000, 100'001,
     90'000, 89'999},
    {"loop B open", Trip::open_loop,
     [](SequencerFixture& u, std::int32_t v) { u.reading.loop_resistance_mohm[1] = v; }, 100'000, 100'001,
     90'000, 89'999},
    {"loop A shorted", Trip::shorted_loop,
     [](SequencerFixture& u, std::int32_t v) { u.reading.loop_resistance_mohm[0] = v; }, 20, 19, 22, 23},
    {"loop B shorted", Trip::shorted_loop,
     [](SequencerFixture& u, std::int32_t v) { u.reading.loop_resistance_mohm[1] = v; }, 20, 19, 22, 23},
    {"current of A", Trip::over_current, [](SequencerFixture& u, std::int32_t v) { u.current_ma[0] = v; }, 50,
     51, 51, 50},
    {"current of B", Trip::over_current, [](SequencerFixture& u, std::int32_t v) { u.current_ma[1] = v; }, 50,
     51, 51, 50},
};

TEST(TripThresholds, BeginAndEndWhereTheManualSays) {
    // Definition: the table of trips in docs/core.md with the defaults of config.hpp.
    for (const Threshold& t : thresholds) {
        SCOPED_TRACE(t.what);
        SequencerFixture unit = standing();
        t.set(unit, t.good);
        unit.measure();
        unit.run_ms(3'000);
        unit.measure();
        EXPECT_EQ(unit.sequencer.state(), State::standby);
        unit.drain();
        t.set(unit, t.bad);
        unit.measure();
        unit.run_ms(3'000);
        ASSERT_EQ(unit.sequencer.state(), State::tripped);
        EXPECT_EQ(unit.sequencer.first_trip(), t.trip);
        const std::vector<Record> records = unit.drain();
        const auto trip = std::find_if(records.begin(), records.end(),
                                       [](const Record& r) { return r.kind == RecordKind::trip; });
        ASSERT_NE(trip, records.end());
        EXPECT_EQ(trip->value, t.bad) << "what was measured";
        t.set(unit, t.stays);
        unit.measure();
        EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active);
        t.set(unit, t.gone);
        unit.measure();
        EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);
        const std::vector<Record> after = unit.drain();
        const auto cleared = std::find_if(after.begin(), after.end(),
                                          [](const Record& r) { return r.kind == RecordKind::trip_cleared; });
        ASSERT_NE(cleared, after.end());
        EXPECT_EQ(cleared->detail, static_cast<std::uint8_t>(t.trip));
        EXPECT_EQ(cleared->value,
                  t.trip == Trip::open_loop || t.trip == Trip::shorted_loop ? cleared->value : t.gone);
    }
}

TEST(TripThresholds, TheBusCountsWithTheBatterysHysteresis) {
    // Definition: docs/core.md: trips below bus_low_mv, gone above it by more than the hysteresis.
    Config config;
    config.bus_low_mv = 20'000;
    SequencerFixture unit = standing(config);
    unit.reading.bus_mv = 20'000;
    unit.measure();
    unit.run_ms(1'000);
    EXPECT_EQ(unit.sequencer.state(), State::standby) << "at the limit";
    unit.reading.bus_mv = 19'999;
    unit.measure();
    unit.run_ms(1'000);
    ASSERT_EQ(unit.sequencer.state(), State::tripped);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::under_voltage);
    unit.reading.bus_mv = 22'000;
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active);
    unit.reading.bus_mv = 22'001;
    unit.measure();
    EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);

    config.bus_low_mv = 1;
    SequencerFixture least = standing(config);
    least.reading.bus_mv = 0;
    least.measure();
    least.run_ms(1'000);
    EXPECT_EQ(least.sequencer.first_trip(), Trip::under_voltage) << "any limit is one";

    SequencerFixture unjudged = standing();
    unjudged.reading.bus_mv = 0;
    unjudged.measure();
    unjudged.run_ms(3'000);
    EXPECT_EQ(unjudged.sequencer.state(), State::standby) << "without a limit no bus is too low";
    unjudged.reading.battery_mv = 20'000;
    unjudged.measure();
    unjudged.run_ms(1'000);
    ASSERT_EQ(unjudged.sequencer.state(), State::tripped);
    unjudged.reading.battery_mv = 25'000;
    unjudged.measure();
    EXPECT_EQ(unjudged.control(Control::acknowledge), Reply::accepted) << "nor in the way";
}

TEST(TripThresholds, CurrentsOfTheDwellAtTheirLimits) {
    // Definition: docs/core.md. The first step asks for 8 A: 150 % of it are 12 A; 200 mA are no open loop.
    struct Row {
        std::int32_t ma;
        bool trips;
        Trip trip;
    };
    for (const Row& row : {Row{200, false, {}}, Row{199, true, Trip::open_loop}, Row{12'000, false, {}},
                           Row{12'001, true, Trip::shorted_loop}, Row{45'000, true, Trip::shorted_loop}}) {
        SequencerFixture unit = standing();
        unit.to_phase(Phase::dwell);
        unit.current_ma[0] = row.ma;
        unit.measure();
        EXPECT_TRUE(unit.sequencer.drive().on) << row.ma << " mA is debounced";
        unit.run_ms(19);
        EXPECT_TRUE(unit.sequencer.drive().on);
        unit.run_ms(1);
        EXPECT_EQ(unit.sequencer.drive().on, !row.trips) << row.ma;
        if (row.trips) {
            EXPECT_EQ(unit.sequencer.first_trip(), row.trip);
        }
    }
}

TEST(TripThresholds, NoCurrentIsTooMuchUntilItHadTimeToDecay) {
    // Definition: docs/core.md: power stage off for current_decay_ms, 100 ms, then above current_zero_ma. Until then an
    // emergency stop's own cause stands alone.
    SequencerFixture unit = standing();
    unit.to_phase(Phase::dwell);
    unit.control(Control::emergency_stop);
    ASSERT_FALSE(unit.sequencer.drive().on);
    unit.current_ma[0] = 5'000;
    unit.run_to(unit.now + Ticks{ticks_of_ms(24'000'000, 100).count() - 1});
    unit.measure();
    EXPECT_FALSE(unit.sequencer.latched().has(Trip::over_current));
    unit.run_to(unit.now + Ticks{1});
    unit.measure();
    EXPECT_TRUE(unit.sequencer.latched().has(Trip::over_current));
}

TEST(TripThresholds, TheRecordShowsTheWorseOfBothLoops) {
    // Definition: of two loops beyond a threshold the one farther beyond is told; of one not tested the other.
    struct Row {
        std::int32_t a, b;
        Trip trip;
        std::int32_t told;
    };
    for (const Row& row :
         {Row{200'000, 300'000, Trip::open_loop, 300'000}, Row{300'000, 200'000, Trip::open_loop, 300'000},
          Row{5, 9, Trip::shorted_loop, 5}, Row{9, 5, Trip::shorted_loop, 5},
          Row{Reading::not_tested, 200'000, Trip::open_loop, 200'000},
          Row{5, Reading::not_tested, Trip::shorted_loop, 5}, Row{0, 900, Trip::shorted_loop, 0},
          Row{900, 0, Trip::shorted_loop, 0}}) {
        SequencerFixture unit = standing();
        unit.drain();
        unit.reading.loop_resistance_mohm = {row.a, row.b};
        unit.measure();
        unit.run_ms(100);
        ASSERT_EQ(unit.sequencer.first_trip(), row.trip);
        const std::vector<Record> records = unit.drain();
        const auto trip = std::find_if(records.begin(), records.end(),
                                       [](const Record& r) { return r.kind == RecordKind::trip; });
        ASSERT_NE(trip, records.end());
        EXPECT_EQ(trip->value, row.told);
        unit.reading.loop_resistance_mohm = {Reading::not_tested, Reading::not_tested};
        unit.measure();
        EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted) << "not tested: gone";
    }
}

TEST(TripThresholds, AContinuityTestHasATenthOfHysteresis) {
    // Definition: config.hpp: above 10 ohm open, gone below 9; below 1 ohm shorted, gone above 1.1.
    Config config;
    config.shorted_loop_mohm = 1'000;
    config.open_loop_mohm = 10'000;
    for (const bool open : {false, true}) {
        SequencerFixture unit(config);
        unit.reading.loop_resistance_mohm = {5'000, 5'000};
        unit.to_standby();
        unit.reading.loop_resistance_mohm[1] = open ? 10'001 : 999;
        unit.measure();
        unit.run_ms(20);
        ASSERT_EQ(unit.sequencer.first_trip(), open ? Trip::open_loop : Trip::shorted_loop);
        unit.reading.loop_resistance_mohm[1] = open ? 9'000 : 1'100;
        unit.measure();
        EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active);
        unit.reading.loop_resistance_mohm[1] = open ? 8'999 : 1'101;
        unit.measure();
        EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);
    }
}

TEST(TripThresholds, ASelfCheckWaitsForACauseThatIsBeingDebounced) {
    // Definition: docs/core.md: under-voltage is debounced for 200 ms; until it is known what comes of it nothing may be armed.
    SequencerFixture unit;
    unit.measure();
    unit.run_ms(900);
    unit.reading.battery_mv = 20'000;
    unit.measure();
    unit.run_ms(100);
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::self_check);
    unit.reading.battery_mv = 25'000;
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(TripThresholds, ALoopThatIsNotFittedIsNotJudged) {
    Config config;
    config.limits.loops_fitted = 1;
    SequencerFixture unit(config);
    unit.reading.loop_resistance_mohm = {900, 1'000'000};
    unit.to_standby();
    unit.run_ms(100);
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

}  // namespace trip_thresholds_test
}  // namespace ampturn::core
