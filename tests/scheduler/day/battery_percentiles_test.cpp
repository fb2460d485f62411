#include "scheduler/day/battery_percentiles.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/day/day.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/battery_percentiles_output.hpp"
#include "scheduler/report/monte_carlo_text.hpp"
#include "tests/paths.hpp"

namespace ampturn::day {
namespace battery_percentiles_test {

TEST(BatteryTrace, PutsIntervalsOnTheGrid) {
    // Definition, by hand: linear inside an interval, held between them.
    BatteryTraceRecorder recorder(1000);  // grid: 1000, 1300, 1600, 1900, ...
    recorder.add({1100, 1200, 25, 24, 1.0, 0.9});
    recorder.add({1200, 1400, 23, 21, 0.9, 0.7});   // across 1300
    recorder.add({1850, 1850, 26, 26, 0.7, 0.7});   // after a gap, no time passes
    recorder.add({1850, 1900, 20, 22, 0.7, 0.65});  // ends on the grid
    const BatteryTrace course = recorder.take();
    ASSERT_EQ(course.charge_fraction.size(), 4u);
    ASSERT_EQ(course.lowest_v.size(), 4u);
    EXPECT_DOUBLE_EQ(course.charge_fraction[0], 1.0)
        << "before the first connection: what it will start with";
    EXPECT_DOUBLE_EQ(course.charge_fraction[1], 0.8) << "half way through the interval";
    EXPECT_DOUBLE_EQ(course.charge_fraction[2], 0.7) << "held through the gap";
    EXPECT_DOUBLE_EQ(course.charge_fraction[3], 0.65);
    EXPECT_TRUE(std::isnan(course.lowest_v[0]));
    EXPECT_DOUBLE_EQ(course.lowest_v[1], 22) << "at 1300";
    EXPECT_DOUBLE_EQ(course.lowest_v[2], 21) << "at 1400";
    EXPECT_DOUBLE_EQ(course.lowest_v[3], 20) << "at 1850, just after";
}

TEST(BatteryTrace, ALongIntervalFillsEveryStretchItCrosses) {
    // Closed form: a straight line.
    BatteryTraceRecorder recorder(0);
    recorder.add({0, 1450, 26, 23.1, 1, 0.855});  // 2 mV and 0.1 per mille a second
    const BatteryTrace course = recorder.take();
    ASSERT_EQ(course.lowest_v.size(), 6u);
    for (std::size_t k = 1; k < 5; ++k) {
        EXPECT_NEAR(course.lowest_v[k], 26 - 0.6 * static_cast<double>(k), 1e-12);
        EXPECT_NEAR(course.charge_fraction[k], 1 - 0.03 * static_cast<double>(k), 1e-12);
    }
    EXPECT_NEAR(course.lowest_v[5], 23.1, 1e-12);
    EXPECT_NEAR(course.charge_fraction[5], 0.855, 1e-12);
}

TEST(BatteryPercentiles, PercentilesOfKnownCourses) {
    // Closed form: percentiles of 0, 0.01, ..., 1 and of 20, 22, ..., 120.
    std::vector<BatteryTrace> traces;
    for (int i = 0; i <= 100; ++i)
        traces.push_back({{1, 0.01 * i}, {std::nan(""), i % 2 == 0 ? 20.0 + i : std::nan("")}});
    traces.push_back({});  // a run that never came to a connection
    const BatteryPercentiles battery = battery_percentiles(0, traces);
    EXPECT_EQ(battery.runs, 101);
    ASSERT_EQ(battery.time_s.size(), 2u);
    EXPECT_EQ(battery.time_s[1], battery_grid_step_s);
    EXPECT_EQ(battery.connected[0], 0);
    EXPECT_EQ(battery.connected[1], 51);
    EXPECT_TRUE(std::isnan(battery.lowest_v[0].percentiles.p50));
    EXPECT_DOUBLE_EQ(battery.charge_fraction[1].percentiles.p10, 0.1);
    EXPECT_DOUBLE_EQ(battery.charge_fraction[1].percentiles.p50, 0.5);
    EXPECT_DOUBLE_EQ(battery.charge_fraction[1].percentiles.p90, 0.9);
    EXPECT_DOUBLE_EQ(battery.charge_fraction[1].lowest, 0);
    EXPECT_DOUBLE_EQ(battery.charge_fraction[1].highest, 1);
    EXPECT_DOUBLE_EQ(battery.lowest_v[1].percentiles.p50, 70);
    EXPECT_EQ(battery_percentiles(0, {}).runs, 0);
}

TEST(BatteryPercentiles, OfTheRunsDoesNotDependOnThreadsAndHoldsTheDay) {
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"));
    const MonteCarloSummary one = run_monte_carlo(plan, {.runs = 9, .seed = 4, .threads = 1});
    const MonteCarloSummary three = run_monte_carlo(plan, {.runs = 9, .seed = 4, .threads = 3});
    EXPECT_EQ(report::battery_percentiles_csv(one.battery), report::battery_percentiles_csv(three.battery));
    const DayResult day = simulate_day(plan);
    EXPECT_EQ(report::monte_carlo_json_text(one, day), report::monte_carlo_json_text(three, day));
    const BatteryPercentiles& battery = one.battery;
    EXPECT_EQ(battery.runs, 9);
    double lowest_v = HUGE_VAL;
    for (std::size_t k = 0; k < battery.time_s.size(); ++k) {
        const Spread& charge = battery.charge_fraction[k];
        EXPECT_LE(charge.lowest, charge.percentiles.p10);
        EXPECT_LE(charge.percentiles.p10, charge.percentiles.p50);
        EXPECT_LE(charge.percentiles.p50, charge.percentiles.p90);
        EXPECT_LE(charge.percentiles.p90, charge.highest);
        if (k > 0) {
            EXPECT_LE(charge.highest, battery.charge_fraction[k - 1].highest + 1e-12) << "one set only falls";
        }
        if (battery.connected[k] > 0) lowest_v = std::min(lowest_v, battery.lowest_v[k].lowest);
    }
    // The same extreme by another way: the lowest voltage of each run.
    EXPECT_LE(lowest_v, one.lowest_battery_v.p10);
    EXPECT_GT(lowest_v, 0);
}

}  // namespace battery_percentiles_test
}  // namespace ampturn::day
