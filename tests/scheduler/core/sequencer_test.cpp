// States, edges, stops and steps of the sequencer. Trips have their own file. Where nothing else is said the
// expected behaviour is the state table of docs/core.md.
#include "scheduler/core/sequencer.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "tests/scheduler/core/sequencer_fixture.hpp"

namespace ampturn::core {
namespace sequencer_test {

using test::SequencerFixture;
using test::three_steps;

SequencerFixture loaded(const Config& config = {}) {
    SequencerFixture unit(config);
    EXPECT_EQ(unit.load(three_steps()), TableCheck{});
    return unit;
}

TEST(Sequencer, WakesUnpoweredAndDark) {
    const SequencerFixture unit;
    EXPECT_EQ(unit.sequencer.state(), State::unpowered);
    EXPECT_FALSE(unit.sequencer.drive().on);
    EXPECT_EQ(unit.sequencer.deadline(), Instant::never());
    EXPECT_EQ(unit.sequencer.indicator().lamp, Lamp::dark);
}

TEST(Sequencer, ChecksItselfForAtLeastTheSetTime) {
    SequencerFixture unit = loaded();
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::self_check);
    unit.run_ms(999);
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::self_check);
    unit.run_ms(1);
    EXPECT_EQ(unit.sequencer.state(), State::standby);
    EXPECT_EQ(unit.sequencer.state_since(), Instant{24'000'000});
}

TEST(Sequencer, WaitsForBothContinuityTests) {
    SequencerFixture unit = loaded();
    unit.reading.loop_resistance_mohm[1] = Reading::not_tested;
    unit.measure();
    unit.run_ms(5'000);
    EXPECT_EQ(unit.sequencer.state(), State::self_check);
    unit.reading.loop_resistance_mohm[1] = 900;
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(Sequencer, ALoopNotFittedNeedsNoTest) {
    Config config;
    config.limits.loops_fitted = 1;
    SequencerFixture unit(config);
    unit.reading.loop_resistance_mohm[1] = Reading::not_tested;
    unit.to_standby();
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(Sequencer, SelfCheckWithoutReadingsTrips) {
    SequencerFixture unit = loaded();
    unit.reading.loop_resistance_mohm[1] = Reading::not_tested;
    unit.measure();
    unit.reads = false;
    unit.run_ms(9'999);
    EXPECT_EQ(unit.sequencer.state(), State::self_check);
    unit.run_ms(1);
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::watchdog);
}

TEST(Sequencer, RunsAWholeSweepAndNeedsAFreshArm) {
    SequencerFixture unit = loaded();
    unit.to_sending();
    EXPECT_EQ(unit.sequencer.state(), State::sending);
    EXPECT_EQ(unit.sequencer.state_since(), Instant{24'000'000} + Ticks{120'000'000}) << "warning lasts 5 s";
    ASSERT_TRUE(unit.run_while(State::sending));
    EXPECT_EQ(unit.sequencer.state(), State::standby);
    Ticks total;
    const Table table = three_steps();
    for (const Step& step : table.used()) total += step_length(step);
    EXPECT_EQ(unit.sequencer.state_since(), Instant{144'000'000} + total)
        << "closed form: sum of the step lengths";
    EXPECT_EQ(unit.control(Control::go), Reply::not_now);
    unit.run_ms(3'600'000);
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(Sequencer, RepeatsTheSweepAsOftenAsTheTableSays) {
    SequencerFixture unit;
    Table table = three_steps();
    table.sweep_count = 3;
    ASSERT_EQ(unit.load(table), TableCheck{});
    unit.to_sending();
    ASSERT_TRUE(unit.run_while(State::sending));
    Ticks sweep;
    for (const Step& step : table.used()) sweep += step_length(step);
    EXPECT_EQ(unit.sequencer.state_since() - Instant{144'000'000}, sweep * 3);
    std::vector<int> steps;
    for (const Record& record : unit.drain())
        if (record.kind == RecordKind::step) steps.push_back(record.value * 10 + record.detail);
    EXPECT_EQ(steps, (std::vector<int>{0, 1, 2, 10, 11, 12, 20, 21, 22}));
}

TEST(Sequencer, ArmRunsOut) {
    SequencerFixture unit = loaded();
    unit.to_armed();
    unit.run_ms(119'999);
    EXPECT_EQ(unit.sequencer.state(), State::armed);
    unit.run_ms(1);
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(Sequencer, ArmNeedsATable) {
    SequencerFixture unit;
    unit.to_standby();
    EXPECT_EQ(unit.control(Control::arm), Reply::no_table);
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(Sequencer, ControlsOutOfPlaceChangeNothing) {
    SequencerFixture unit = loaded();
    unit.to_standby();
    for (const Control control :
         {Control::disarm, Control::go, Control::stop, Control::acknowledge, Control::emergency_reset})
        EXPECT_EQ(unit.control(control), Reply::not_now);
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(Sequencer, StopAndKeyOffLeadBackBeforeSending) {
    for (const Control control : {Control::stop, Control::disarm}) {
        SequencerFixture armed = loaded();
        armed.to_armed();
        EXPECT_EQ(armed.control(control), Reply::accepted);
        EXPECT_EQ(armed.sequencer.state(), State::standby);
        SequencerFixture warning = loaded();
        warning.to_warning();
        EXPECT_EQ(warning.control(control), Reply::accepted);
        EXPECT_EQ(warning.sequencer.state(), State::standby);
        warning.run_ms(60'000);
        EXPECT_FALSE(
            std::any_of(warning.drives.begin(), warning.drives.end(), [](const Drive& d) { return d.on; }));
    }
}

TEST(Sequencer, TheTableCannotBeChangedOnceArmed) {
    SequencerFixture unit = loaded();
    unit.to_armed();
    EXPECT_EQ(unit.load(three_steps()).reason, Refusal::busy);
    unit.control(Control::go);
    EXPECT_EQ(unit.load(three_steps()).reason, Refusal::busy);
    unit.run_to(unit.sequencer.start_at());
    EXPECT_EQ(unit.load(three_steps()).reason, Refusal::busy);
    unit.control(Control::stop);
    unit.run_ms(1'000);
    EXPECT_EQ(unit.load(three_steps()), TableCheck{});
}

TEST(Sequencer, ARefusedTableLeavesTheOldOne) {
    SequencerFixture unit = loaded();
    Table bad = three_steps();
    bad.steps[2].divisor = 10'001;
    EXPECT_EQ(unit.load(bad), (TableCheck{Refusal::odd_divisor, 2}));
    EXPECT_EQ(unit.sequencer.table(), three_steps());
}

TEST(Sequencer, RestsWhenHot) {
    SequencerFixture unit = loaded();
    unit.to_sending();
    unit.reading.winding_mdeg_c = 80'001;
    ASSERT_TRUE(unit.run_while(State::sending));
    EXPECT_EQ(unit.sequencer.state(), State::resting);
    EXPECT_EQ(unit.control(Control::arm), Reply::not_now);
    unit.reading.winding_mdeg_c = 80'000;
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(Sequencer, StopWhileHotRestsToo) {
    SequencerFixture unit = loaded();
    unit.to_phase(Phase::dwell);
    unit.reading.electronics_mdeg_c = 65'001;
    unit.control(Control::stop);
    ASSERT_TRUE(unit.run_while(State::stopping));
    EXPECT_EQ(unit.sequencer.state(), State::resting);
}

TEST(Sequencer, ArmIsRefusedAboveTheRestartTemperature) {
    SequencerFixture unit = loaded();
    unit.to_standby();
    unit.reading.winding_mdeg_c = 90'000;
    unit.measure();
    EXPECT_EQ(unit.control(Control::arm), Reply::too_hot);
}

TEST(Sequencer, SupplyLostLeadsToUnpoweredFromEverywhereAndNothingRestarts) {
    using Way = void (*)(SequencerFixture&);
    const Way ways[] = {[](SequencerFixture& u) { u.measure(); },
                        [](SequencerFixture& u) { u.to_standby(); },
                        [](SequencerFixture& u) { u.to_armed(); },
                        [](SequencerFixture& u) { u.to_warning(); },
                        [](SequencerFixture& u) { u.to_sending(); },
                        [](SequencerFixture& u) { u.to_phase(Phase::dwell, 1); },
                        [](SequencerFixture& u) {
                            u.to_phase(Phase::dwell);
                            u.control(Control::stop);
                        },
                        [](SequencerFixture& u) {
                            u.to_sending();
                            u.reading.winding_mdeg_c = 100'000;
                            u.run_while(State::sending);
                        },
                        [](SequencerFixture& u) {
                            u.to_standby();
                            u.control(Control::emergency_stop);
                            u.control(Control::emergency_reset);
                        }};
    std::vector<State> seen;
    for (const Way way : ways) {
        SequencerFixture unit = loaded();
        way(unit);
        seen.push_back(unit.sequencer.state());
        const Reading good = unit.reading;
        unit.reading.supply = Supply::absent;
        unit.measure();
        EXPECT_EQ(unit.sequencer.state(), State::unpowered);
        EXPECT_FALSE(unit.sequencer.drive().on);
        EXPECT_TRUE(unit.sequencer.latched().empty());
        unit.run_ms(1'000);
        unit.reading = good;
        unit.reading.winding_mdeg_c = 20'000;
        unit.measure();
        EXPECT_EQ(unit.sequencer.state(), State::self_check);
        unit.run_ms(600'000);
        EXPECT_EQ(unit.sequencer.state(), State::standby) << "no restart by itself";
    }
    EXPECT_EQ(seen, (std::vector<State>{State::self_check, State::standby, State::armed, State::warning,
                                        State::sending, State::sending, State::stopping, State::resting,
                                        State::tripped}));
}

// ---- steps

TEST(Sequencer, AStepIsSelectRampDwellRampGap) {
    SequencerFixture unit = loaded();
    unit.to_sending();
    unit.run_while(State::sending);
    // Second step: relays open, close, settle, 6 ramp cycles of one level each, dwell, 6 down, off.
    const Instant start = Instant{144'000'000} + step_length(three_steps().steps[0]);
    std::vector<Drive> expected;
    expected.push_back({.since = start});
    const Instant closed = start + Ticks{120'000};
    expected.push_back({.selection = {Loop::b, 2, 3}, .since = closed});
    const Instant on = start + Ticks{480'000};
    for (std::uint32_t level = 1; level <= 6; ++level) {
        const std::uint32_t q16 = level * 65'536 / 7;
        expected.push_back(
            {true, {Loop::b, 2, 3}, 40'000, q16, 9'500u * q16 / 65'536, on + Ticks{40'000} * (level - 1)});
    }
    const Instant full = on + Ticks{240'000};
    expected.push_back({true, {Loop::b, 2, 3}, 40'000, 65'536, 9'500, full});
    const Instant down = full + Ticks{48'000'000};
    for (std::uint32_t level = 6; level >= 1; --level) {
        const std::uint32_t q16 = level * 65'536 / 7;
        expected.push_back(
            {true, {Loop::b, 2, 3}, 40'000, q16, 9'500u * q16 / 65'536, down + Ticks{40'000} * (6 - level)});
    }
    const Instant end = down + Ticks{240'000};
    expected.push_back({.selection = {Loop::b, 2, 3}, .since = end});
    for (const Drive& drive : expected)
        EXPECT_NE(std::find(unit.drives.begin(), unit.drives.end(), drive), unit.drives.end())
            << "since " << drive.since.ticks_since_power_on() << " amplitude " << drive.amplitude_q16;
    const auto second_step = [&](const Drive& d) { return d.since >= start && d.since <= end; };
    std::vector<Drive> seen;
    for (const Drive& drive : unit.drives)
        if (second_step(drive) && (seen.empty() || !(seen.back() == drive))) seen.push_back(drive);
    EXPECT_EQ(seen, expected);
}

TEST(Sequencer, ALongRampHasEightLevels) {
    SequencerFixture unit;
    Table table;
    table.step_count = 1;
    table.steps[0] = {.divisor = 1'000, .cycles = 10, .current_ma_peak = 9'000, .ramp_cycles = 100};
    ASSERT_EQ(unit.load(table), TableCheck{});
    unit.to_sending();
    unit.run_while(State::sending);
    std::vector<std::uint32_t> levels;
    std::vector<std::uint64_t> starts;
    for (const Drive& drive : unit.drives)
        if (drive.on && (levels.empty() || levels.back() != drive.amplitude_q16)) {
            levels.push_back(drive.amplitude_q16);
            starts.push_back((drive.since - Instant{144'480'000}).count());
        }
    std::vector<std::uint32_t> expected;
    for (std::uint32_t k = 1; k <= 8; ++k) expected.push_back(k * 65'536 / 9);
    expected.push_back(65'536);
    for (std::uint32_t k = 8; k >= 1; --k) expected.push_back(k * 65'536 / 9);
    EXPECT_EQ(levels, expected);
    for (const std::uint64_t start : starts) EXPECT_EQ(start % 1'000, 0u) << "levels change at whole cycles";
    EXPECT_EQ(starts[8], 100'000u);
    EXPECT_EQ(starts[9], 110'000u);
}

TEST(Sequencer, TheSameSelectionStaysClosed) {
    SequencerFixture unit;
    Table table;
    table.step_count = 2;
    table.steps[0] = {.divisor = 1'000, .cycles = 10, .current_ma_peak = 1'000, .gap_ticks = 0};
    table.steps[1] = {.divisor = 2'000, .cycles = 10, .current_ma_peak = 1'000, .settle_ticks = 0};
    ASSERT_EQ(unit.load(table), TableCheck{});
    unit.to_sending();
    const Instant start = unit.now;
    unit.run_while(State::sending);
    const auto open = [&](const Drive& d) { return d.since > start && d.selection.loop == Loop::none; };
    EXPECT_EQ(std::count_if(unit.drives.begin(), unit.drives.end(), open), 1) << "only after the last step";
    EXPECT_EQ(unit.sequencer.state_since() - start,
              step_length(table.steps[0]) + step_length(table.steps[1]));
}

TEST(Sequencer, NoSelectionChangeWhileCurrentIsNotKnownToBeZero) {
    SequencerFixture flowing = loaded();
    flowing.to_phase(Phase::gap);
    flowing.current_ma = {51, -1};
    flowing.measure();
    flowing.run_to(flowing.sequencer.deadline());
    EXPECT_EQ(flowing.sequencer.state(), State::tripped);
    EXPECT_EQ(flowing.sequencer.first_trip(), Trip::over_current);
    EXPECT_EQ(flowing.sequencer.drive().selection.loop, Loop::a)
        << "the relays stay until no current is measured";
    flowing.current_ma = {50, -1};
    flowing.measure();
    EXPECT_EQ(flowing.sequencer.drive().selection.loop, Loop::none);

    SequencerFixture blind = loaded();
    blind.to_phase(Phase::ramp_down);
    blind.reads = false;
    blind.run_while(State::sending);
    EXPECT_EQ(blind.sequencer.state(), State::tripped);
    EXPECT_EQ(blind.sequencer.first_trip(), Trip::watchdog);
}

// ---- stops

TEST(Sequencer, StopEndsWithinTheRampCyclesWhereverItFalls) {
    const Step step = three_steps().steps[1];
    const Ticks ramp_length = ramp(step);
    for (std::uint64_t offset = 1; offset < 48'000'000 + 2 * ramp_length.count(); offset += 179'999) {
        SequencerFixture unit = loaded();
        unit.to_phase(Phase::ramp_up, 1);
        unit.run_to(unit.sequencer.progress().phase_start + Ticks{offset});
        if (!unit.sequencer.drive().on) break;
        const Instant cycle_start = unit.sequencer.drive().since;
        const Instant asked = unit.now;
        const std::uint32_t amplitude = unit.sequencer.drive().amplitude_q16;
        ASSERT_EQ(unit.control(Control::stop), Reply::accepted);
        EXPECT_EQ(unit.sequencer.state(), State::stopping);
        unit.drives.clear();
        ASSERT_TRUE(unit.run_while(State::stopping));
        EXPECT_EQ(unit.sequencer.state(), State::standby);
        std::uint32_t last = amplitude;
        Instant off;
        for (const Drive& drive : unit.drives) {
            EXPECT_LE(drive.amplitude_q16, last) << "never up again";
            if (drive.amplitude_q16 != last) {
                EXPECT_EQ((drive.since - cycle_start).count() % step.divisor, 0u) << "whole cycles";
            }
            if (!drive.on && last > 0) off = drive.since;
            last = drive.amplitude_q16;
        }
        EXPECT_GT(off, asked);
        EXPECT_LE(off - asked, ramp_length);
    }
}

TEST(Sequencer, StopExactlyBetweenTwoCyclesUsesEveryRampCycle) {
    SequencerFixture unit = loaded();
    unit.to_phase(Phase::dwell, 1);
    const Instant asked = unit.sequencer.progress().phase_start + Ticks{40'000} * 100;
    unit.run_to(asked);
    unit.control(Control::stop);
    EXPECT_EQ(unit.sequencer.progress().phase, Phase::ramp_down);
    while (unit.sequencer.drive().on) unit.run_to(unit.sequencer.deadline());
    EXPECT_EQ(unit.now - asked, Ticks{240'000});
}

TEST(Sequencer, StopWithThePowerStageOffIsOverAtOnce) {
    for (const Phase phase : {Phase::settling, Phase::gap}) {
        SequencerFixture unit = loaded();
        unit.to_phase(phase);
        EXPECT_EQ(unit.control(Control::stop), Reply::accepted);
        EXPECT_EQ(unit.sequencer.state(), State::standby);
        EXPECT_EQ(unit.sequencer.drive().selection, Selection{});
    }
}

TEST(Sequencer, StoppingThatNeverSeesZeroCurrentTrips) {
    SequencerFixture unit = loaded();
    unit.to_phase(Phase::dwell);
    unit.control(Control::stop);
    unit.current_ma = {100, -1};
    ASSERT_TRUE(unit.run_while(State::stopping));
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::over_current);
}

TEST(Sequencer, EmergencyStopIsImmediateInEveryPhase) {
    for (const Phase phase :
         {Phase::breaking, Phase::settling, Phase::ramp_up, Phase::dwell, Phase::ramp_down, Phase::gap}) {
        SequencerFixture unit = loaded();
        unit.to_phase(phase, 1);
        unit.run_to(unit.now + Ticks{1});
        EXPECT_EQ(unit.control(Control::emergency_stop), Reply::accepted);
        EXPECT_FALSE(unit.sequencer.drive().on);
        EXPECT_EQ(unit.sequencer.state(), State::tripped);
        EXPECT_EQ(unit.sequencer.state_since(), unit.now);
        EXPECT_EQ(unit.sequencer.first_trip(), Trip::emergency_stop);
        unit.measure();
        EXPECT_EQ(unit.control(Control::acknowledge), Reply::cause_active)
            << "latched until reset (ISO 13850)";
        EXPECT_EQ(unit.control(Control::emergency_reset), Reply::accepted);
        EXPECT_EQ(unit.sequencer.state(), State::tripped) << "the reset alone starts nothing";
        EXPECT_EQ(unit.control(Control::acknowledge), Reply::accepted);
        EXPECT_EQ(unit.sequencer.state(), State::self_check);
        unit.run_ms(1'000);
        EXPECT_EQ(unit.sequencer.state(), State::standby);
    }
}

// ---- marks

TEST(Sequencer, StartsOnTheMinuteAsItsClockSees) {
    Config config;
    config.start_mark = Mark::minute;
    config.clock_error_ppb = 2'000;  // 2 ppm fast: 48 ticks more a second
    SequencerFixture unit(config);
    ASSERT_EQ(unit.load(three_steps()), TableCheck{});
    unit.to_armed();
    EXPECT_EQ(unit.control(Control::go), Reply::no_time);
    unit.sequencer.mark(unit.now, 1'000'030);  // 1 000 030 mod 60 = 10
    EXPECT_EQ(unit.control(Control::go), Reply::accepted);
    EXPECT_EQ(unit.sequencer.start_at() - unit.now, Ticks{50u * 24'000'048u});
    SequencerFixture later = unit;
    later.control(Control::stop);
    later.run_ms(48'000);
    later.control(Control::arm);
    later.control(Control::go);
    EXPECT_EQ(later.sequencer.start_at() - unit.now, Ticks{std::uint64_t{110} * 24'000'048u})
        << "2 s are less than the warning";
}

TEST(Sequencer, AWaitingStartFollowsNewerMarks) {
    Config config;
    config.start_mark = Mark::minute;
    SequencerFixture unit(config);
    ASSERT_EQ(unit.load(three_steps()), TableCheck{});
    unit.to_armed();
    unit.sequencer.mark(unit.now, 1'000'030);  // the next minute begins 50 s later
    unit.control(Control::go);
    const Instant go = unit.now;
    // The clock runs 20 ppm fast and the unit does not know: a second is 24 000 480 of its ticks.
    for (std::uint32_t s = 1; s < 50; ++s) {
        unit.run_to(go + Ticks{24'000'480} * s);
        unit.sequencer.mark(unit.now, 1'000'030 + s);
    }
    ASSERT_EQ(unit.sequencer.state(), State::warning);
    EXPECT_EQ(unit.sequencer.start_at() - go, Ticks{24'000'480} * 49 + Ticks{24'000'000})
        << "one second of drift, not fifty";
    unit.run_to(unit.sequencer.start_at());
    EXPECT_EQ(unit.sequencer.state(), State::sending);
}

TEST(Sequencer, AStepCanWaitForItsOwnMark) {
    SequencerFixture unit;
    Table table = three_steps();
    table.steps[1].flags = starts_on_second;
    ASSERT_EQ(unit.load(table), TableCheck{});
    unit.to_armed();
    EXPECT_EQ(unit.control(Control::go), Reply::no_time);
    const Instant second = unit.now;
    unit.sequencer.mark(second, 500);
    unit.control(Control::go);
    unit.run_to(unit.sequencer.start_at());
    while (unit.sequencer.state() == State::sending && unit.sequencer.progress().phase != Phase::waiting)
        unit.run_to(unit.sequencer.deadline());
    EXPECT_EQ(unit.sequencer.progress().step_index, 1);
    EXPECT_FALSE(unit.sequencer.drive().on);
    unit.run_to(unit.sequencer.deadline());
    EXPECT_EQ((unit.sequencer.progress().step_start - second).count() % 24'000'000, 0u);
    EXPECT_TRUE(unit.run_while(State::sending));
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

TEST(Sequencer, RelaysThatAreOpenStayOpenWhenCurrentShows) {
    // Every relay is open between two selections; a reading of current meanwhile keeps them open, and the power stage off.
    SequencerFixture unit;
    ASSERT_EQ(unit.load(three_steps()), TableCheck{});
    unit.to_phase(Phase::breaking, 1);
    ASSERT_EQ(unit.sequencer.drive().selection.loop, Loop::none);
    unit.current_ma = {51, -1};
    unit.measure();
    ASSERT_EQ(unit.sequencer.state(), State::sending) << "it may still be decaying";
    unit.reads = false;
    unit.run_to(unit.sequencer.deadline());
    EXPECT_EQ(unit.sequencer.state(), State::tripped);
    EXPECT_EQ(unit.sequencer.first_trip(), Trip::over_current);
    EXPECT_EQ(unit.sequencer.drive().selection.loop, Loop::none);
    EXPECT_FALSE(unit.sequencer.drive().on);
}

TEST(Sequencer, ASweepIsOverOnceItsLastCurrentIsGone) {
    SequencerFixture unit;
    Table table = three_steps();
    table.steps[2].gap_ticks = 24'000;  // 1 ms, the current may take 100
    ASSERT_EQ(unit.load(table), TableCheck{});
    unit.to_phase(Phase::gap, 2);
    unit.current_ma = {51, 51};
    unit.measure();
    unit.reads = false;
    unit.run_to(unit.sequencer.deadline());
    EXPECT_EQ(unit.sequencer.state(), State::sending);
    EXPECT_EQ(unit.sequencer.progress().phase, Phase::ending);
    unit.current_ma = {50, 50};
    unit.measure();
    EXPECT_EQ(unit.sequencer.state(), State::standby);
}

}  // namespace sequencer_test
}  // namespace ampturn::core
