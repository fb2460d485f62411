#include "scheduler/day/day.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "scheduler/base/number_text.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/day/sweep_outcome.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/day_json.hpp"
#include "tests/paths.hpp"

namespace day_test {

using namespace ampturn::base;
using namespace ampturn::day;
using namespace ampturn::plan;
using namespace ampturn::plan::file;
using namespace ampturn::reading;
using namespace ampturn::report;
using namespace ampturn::setup;

Plan quick(const std::vector<Setting>& settings = {}) {
    return load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

TEST(Day, SendsEverySweepAndJudgesEveryPair) {
    // Identity: what was sent is what the table asks for.
    const Plan plan = quick();
    const DayResult day = simulate_day(plan);
    EXPECT_TRUE(day.completed);
    ASSERT_EQ(day.sweeps.size(), 2u);
    EXPECT_EQ(day.readings.size(), plan.stations.size() * day.frequencies_hz.size());
    for (const SweepOutcome& sweep : day.sweeps) {
        EXPECT_EQ(sweep.steps.size(), day.table.size());
        for (const StepOutcome& step : sweep.steps) {
            EXPECT_TRUE(step.complete);
            const TableRow& row = day.table[static_cast<std::size_t>(step.step_number - 1)];
            EXPECT_NEAR(step.dwell_s, row.dwell_s, 1e-4 * row.dwell_s);
            EXPECT_LE(step.current_a_peak, row.target_current_a_peak * (1 + 1e-6));
        }
        // Starts on a UTC minute, within the unit's clock error.
        EXPECT_NEAR(std::remainder(sweep.start_s, 60), 0, 0.01);
    }
}

TEST(Day, EnergyOfTheBatteriesIsThatOfSweepsAndIdling) {
    // Identity: the energy book adds up.
    const DayResult day = simulate_day(quick());
    double sweeps_wh = 0;
    for (const SweepOutcome& sweep : day.sweeps) {
        double steps_wh = 0;
        for (const StepOutcome& step : sweep.steps) steps_wh += step.energy_wh;
        EXPECT_NEAR(steps_wh, sweep.energy_wh, 1e-9);
        sweeps_wh += sweep.energy_wh;
    }
    EXPECT_GT(day.energy_wh, sweeps_wh) << "idling costs something";
    EXPECT_NEAR(day.energy_wh, day.batteries.front().delivered_wh, 1e-9);
}

TEST(Day, TheSameTwiceToTheByteAndWhateverTheThreads) {
    const std::string once = day_json_text(simulate_day(quick(), {.seed = 3, .threads = 1}));
    EXPECT_EQ(once, day_json_text(simulate_day(quick(), {.seed = 3, .threads = 1})));
    EXPECT_EQ(once, day_json_text(simulate_day(quick(), {.seed = 3, .threads = 3})));
}

TEST(Day, ABatteryThatIsNotEnoughEndsTheDayAndIsCounted) {
    const Plan small = quick({{.key = "battery.capacity_ah", .value = "0.1"}});
    const DayResult day = simulate_day(small);
    EXPECT_FALSE(day.completed);
    EXPECT_TRUE(day.batteries.front().reached_cut_off);
    EXPECT_GT(day.batteries_needed, day.batteries_carried);
    EXPECT_TRUE(std::any_of(day.readings.begin(), day.readings.end(),
                            [](const auto& j) { return j.verdict == Verdict::not_sent; }));
    // Carrying what the day says it needs carries the day.
    const DayResult enough = simulate_day(apply(small, {.batteries = day.batteries_needed}));
    EXPECT_TRUE(enough.completed);
    EXPECT_EQ(static_cast<int>(enough.batteries.size()), day.batteries_needed);
}

TEST(Day, ASetThatNeverSuppliedHasNoVolts) {
    // A set without charge once showed its lowest volts as a billion, and all of its charge left.
    const DayResult day = simulate_day(quick({{.key = "battery.state_of_charge", .value = "[0]"}}));
    EXPECT_TRUE(std::isnan(day.batteries.front().lowest_v)) << "definition: nothing was measured";
    EXPECT_EQ(day.batteries.front().left_fraction, 0) << "definition: as it was carried";
}

TEST(Day, EachSetSwappedInHasItsOwnCharge) {
    // A swapped set once was full whatever the plan said.
    const DayResult day = simulate_day(quick({{.key = "battery.capacity_ah", .value = "0.1"},
                                              {.key = "battery.sets_carried", .value = "2"},
                                              {.key = "battery.state_of_charge", .value = "[1, 0.5]"}}));
    ASSERT_EQ(day.batteries.size(), 2u);
    EXPECT_LE(day.batteries[1].left_fraction, 0.5) << "definition: no more than it came with";
}

TEST(Day, ASweepBrokenOffAndSentAgainIsSent) {
    // Batteries are used up to the end: the volts of one fall inside a sweep, which the next one repeats.
    const Plan plan = apply(quick({{.key = "battery.capacity_ah", .value = "0.13"},
                                   {.key = "day.swap_below_fraction", .value = "0.02"}}),
                            {.batteries = 6});
    const DayResult day = simulate_day(plan);
    EXPECT_TRUE(std::any_of(day.sweeps.begin(), day.sweeps.end(), [](const auto& s) {
        return s.stopped_by && for_want_of_battery(*s.stopped_by);
    }));
    EXPECT_TRUE(day.completed);
    EXPECT_TRUE(day.batteries_needed_suffice);
    EXPECT_FALSE(short_of_batteries(day.sweeps)) << "what broke off was sent with the next set";
}

TEST(Day, SaysWhatRestsOnTheSlopesOfACoil) {
    // Identity: the same day with the noise stated instead of assumed.
    const std::vector<Setting> weak{{"sweep.current_a_peak", "2"}, {"noise.natural_factor", "0.01"}};
    const DayResult day = simulate_day(quick(weak));
    std::vector<Setting> stated = weak;
    for (const char* key : {"a_pt", "b_pt_per_hz"})
        stated.push_back({std::string("receiver.coil_") + key, "0"});
    stated.push_back({"receiver.coil", "custom"});
    stated.push_back(
        {"receiver.coil_floor_pt_per_rthz", significant(quick().receiver.coil_floor_pt_per_rthz, 9)});
    const DayResult flat = simulate_day(quick(stated));
    ASSERT_TRUE(day.passed_with_flat_coils);
    EXPECT_EQ(*day.passed_with_flat_coils, flat.passed_count);
    EXPECT_GT(flat.passed_count, day.passed_count) << "the slopes decide here";
    EXPECT_FALSE(flat.passed_with_flat_coils) << "definition: stated, not assumed";
}

TEST(Day, WhatIfChangesTheMorning) {
    // Definition: the start asked for, to the next UTC minute.
    const DayResult late = simulate_day(apply(quick(), {.start_s = 9.5 * 3600}));
    const DayResult early = simulate_day(quick());
    EXPECT_NEAR(late.sweeps.front().start_s - early.sweeps.front().start_s, 1.5 * 3600, 61);
    EXPECT_THROW(apply(quick(), {.batteries = 0}), InputError);
    const Plan late_plan = apply(quick(), {.start_s = 16.5 * 3600});
    const DayResult no_time = simulate_day(late_plan);
    EXPECT_FALSE(no_time.completed);
    EXPECT_EQ(no_time.sweeps.front().stopped_by, SweepStop(NoTimeLeft{late_plan.day.end_s}));
}

// The set of 0.12 Ah is spent between the two sweeps: the day said "carry 2", every run "1 set suffices".
TEST(Day, DayAndRunsAgreeOnTheBatteriesThatSuffice) {
    // Identity: the day and its runs apply one rule.
    for (const char* capacity_ah : {"0.10", "0.12", "0.14", "1"})
        for (const int carried : {1, 2}) {
            const Plan plan = apply(quick({{.key = "battery.capacity_ah", .value = capacity_ah},
                                           {.key = "uncertainty.capacity_fraction", .value = "0"},
                                           {.key = "uncertainty.cell_resistance_fraction", .value = "0"},
                                           {.key = "uncertainty.temperature_c", .value = "0"},
                                           {.key = "uncertainty.times_fraction", .value = "0"}}),
                                    {.batteries = carried});
            const DayResult day = simulate_day(plan);
            EXPECT_TRUE(day.batteries_needed_suffice);
            const double suffice = day.batteries_needed <= carried ? 1 : 0;
            const MonteCarloSummary runs = run_monte_carlo(plan, {.runs = 2, .seed = 1});
            EXPECT_DOUBLE_EQ(runs.carried_batteries_suffice_probability, suffice)
                << capacity_ah << " Ah, " << carried << " sets carried";
            EXPECT_DOUBLE_EQ(runs.completes_probability, suffice);
            EXPECT_EQ(day.completed, suffice == 1);
        }
}

TEST(Day, ASetSpentBetweenSweepsIsWhyTheNextOneIsNotSent) {
    const DayResult day = simulate_day(quick({{.key = "battery.capacity_ah", .value = "0.12"}}));
    ASSERT_EQ(day.sweeps.size(), 2u);
    EXPECT_FALSE(day.sweeps.front().stopped_by.has_value());
    EXPECT_EQ(day.sweeps.back().stopped_by, SweepStop(NoBatteryLeft{}));
    EXPECT_TRUE(std::any_of(day.timeline.begin(), day.timeline.end(), [](const auto& e) {
        return std::holds_alternative<TransmitterStops>(e.activity);
    }));
}

// Sets too flat to arm with left no trace of the sweep: nothing was lost, so nine of them "would do".
TEST(Day, ASweepThatNoSetCanBeginIsLost) {
    const Plan plan = apply(quick({{.key = "battery.capacity_ah", .value = "0.001"}}), {.batteries = 24});
    const DayResult day = simulate_day(plan);
    ASSERT_EQ(day.sweeps.size(), 2u);
    for (const SweepOutcome& sweep : day.sweeps) EXPECT_EQ(sweep.stopped_by, SweepStop(BatterySpent{}));
    EXPECT_FALSE(day.batteries_needed_suffice);
    EXPECT_EQ(run_monte_carlo(plan, {.runs = 1, .seed = 1}).carried_batteries_suffice_probability, 0);
}

TEST(Day, NoCountOfBatteriesIsAdvisedWhenOneSetDoesNotCarryOneSweep) {
    const DayResult day =
        simulate_day(apply(quick({{.key = "battery.capacity_ah", .value = "0.01"}}), {.batteries = 24}));
    EXPECT_FALSE(day.completed);
    EXPECT_FALSE(day.batteries_needed_suffice);
    const auto advice = [](const Finding& f) {
        return std::holds_alternative<CarryMoreBatteries>(f) ||
               std::holds_alternative<FewerBatteriesWouldDo>(f);
    };
    EXPECT_TRUE(std::none_of(day.findings.begin(), day.findings.end(), advice));
    EXPECT_TRUE(std::any_of(day.findings.begin(), day.findings.end(),
                            [](const Finding& f) { return std::holds_alternative<NoBatteriesSuffice>(f); }));
}

TEST(Day, ABatteryKeptWarmStaysSoAllDay) {
    // Definition: the temperature the plan gives. The air is at 15 C.
    const DayResult kept = simulate_day(quick({{.key = "battery.temperature_c", .value = "-10"}}));
    ASSERT_GT(kept.battery_trace.size(), 10u);
    for (const BatterySample& sample : kept.battery_trace) EXPECT_EQ(sample.temperature_c, -10);
    const DayResult free = simulate_day(quick({{.key = "day.temperature_hour", .value = "[8, 10]"},
                                               {.key = "day.temperature_c", .value = "[0, 20]"}}));
    EXPECT_GT(free.battery_trace.back().temperature_c, 1) << "definition: without the key it follows the air";
}

TEST(MonteCarlo, DoNotDependOnThreadsAndKnowWhatMatters) {
    const MonteCarloSummary one = run_monte_carlo(quick(), {.runs = 12, .seed = 5, .threads = 1});
    const MonteCarloSummary three = run_monte_carlo(quick(), {.runs = 12, .seed = 5, .threads = 3});
    EXPECT_EQ(one.energy_wh.p50, three.energy_wh.p50);
    EXPECT_EQ(one.lowest_battery_v.p10, three.lowest_battery_v.p10);
    EXPECT_EQ(one.influences.front().input, three.influences.front().input);
    EXPECT_LE(one.end_s.p10, one.end_s.p50);
    EXPECT_LE(one.end_s.p50, one.end_s.p90);
    EXPECT_EQ(one.completes_probability, 1);
    // The end of a day that always completes is decided by the crews' times alone.
    const auto worth = [&](const std::string& input) {
        for (const Influence& i : one.influences)
            if (i.input == input) return std::abs(i.on_end_of_day);
        return -1.0;
    };
    EXPECT_GT(worth("receiver crew's times") + worth("transmitter crew's times"), 0.7);
}

}  // namespace day_test
