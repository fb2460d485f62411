#include "scheduler/day/day.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "scheduler/day/draws.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/day_json.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn::plan;

Plan quick(const std::vector<Setting>& settings = {}) {
    return load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

TEST(Day, SendsEverySweepAndJudgesEveryPair) {
    // Identity: what was sent is what the table asks for.
    const Plan plan = quick();
    const DayResult day = simulate_day(plan);
    EXPECT_TRUE(day.completed);
    ASSERT_EQ(day.sweeps.size(), 2u);
    EXPECT_EQ(day.judged.size(), plan.stations.size() * day.frequencies_hz.size());
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
    EXPECT_TRUE(std::any_of(day.judged.begin(), day.judged.end(),
                            [](const auto& j) { return j.verdict == Verdict::not_sent; }));
    // Carrying what the day says it needs carries the day.
    const DayResult enough = simulate_day(changed(small, {.batteries = day.batteries_needed}));
    EXPECT_TRUE(enough.completed) << enough.findings.front();
    EXPECT_EQ(static_cast<int>(enough.batteries.size()), day.batteries_needed);
}

TEST(Day, ASweepBrokenOffAndSentAgainIsSent) {
    // Batteries are used up to the end: one goes flat inside a sweep, which the next one repeats.
    const Plan plan = changed(quick({{.key = "battery.capacity_ah", .value = "0.15"},
                                     {.key = "day.swap_below_fraction", .value = "0.02"}}),
                              {.batteries = 6});
    const DayResult day = simulate_day(plan);
    EXPECT_TRUE(std::any_of(day.sweeps.begin(), day.sweeps.end(),
                            [](const auto& s) { return s.stopped_by.find("battery") != std::string::npos; }));
    EXPECT_TRUE(day.completed) << day.findings.front();
    EXPECT_EQ(day.batteries_needed_why.find("do not carry"), std::string::npos) << day.batteries_needed_why;
}

TEST(Day, WhatIfChangesTheMorning) {
    // Definition: the start asked for, to the next UTC minute.
    const DayResult late = simulate_day(changed(quick(), {.start_s = 9.5 * 3600}));
    const DayResult early = simulate_day(quick());
    EXPECT_NEAR(late.sweeps.front().start_s - early.sweeps.front().start_s, 1.5 * 3600, 61);
    EXPECT_THROW(changed(quick(), {.batteries = 0}), InputError);
    const DayResult no_time = simulate_day(changed(quick(), {.start_s = 16.5 * 3600}));
    EXPECT_FALSE(no_time.completed);
    EXPECT_NE(no_time.sweeps.front().stopped_by.find("no time left"), std::string::npos);
}

TEST(Draws, DoNotDependOnThreadsAndKnowWhatMatters) {
    const DrawSummary one = run_draws(quick(), {.draws = 12, .seed = 5, .threads = 1});
    const DrawSummary three = run_draws(quick(), {.draws = 12, .seed = 5, .threads = 3});
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

}  // namespace
