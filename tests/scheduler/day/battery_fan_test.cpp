#include "scheduler/day/battery_fan.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/day/day.hpp"
#include "scheduler/day/draws.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/draws_text.hpp"
#include "tests/paths.hpp"

namespace ampturn::plan {
namespace {

TEST(BatteryCourse, PutsIntervalsOnTheGrid) {
    // Definition, by hand: linear inside an interval, held between them.
    BatteryCourseRecorder recorder(1000);  // grid: 1000, 1300, 1600, 1900, ...
    recorder.add({1100, 1200, 25, 24, 1.0, 0.9});
    recorder.add({1200, 1400, 23, 21, 0.9, 0.7});   // across 1300
    recorder.add({1850, 1850, 26, 26, 0.7, 0.7});   // after a gap, no time passes
    recorder.add({1850, 1900, 20, 22, 0.7, 0.65});  // ends on the grid
    const BatteryCourse course = recorder.take();
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

TEST(BatteryCourse, ALongIntervalFillsEveryStretchItCrosses) {
    // Closed form: a straight line.
    BatteryCourseRecorder recorder(0);
    recorder.add({0, 1450, 26, 23.1, 1, 0.855});  // 2 mV and 0.1 per mille a second
    const BatteryCourse course = recorder.take();
    ASSERT_EQ(course.lowest_v.size(), 6u);
    for (std::size_t k = 1; k < 5; ++k) {
        EXPECT_NEAR(course.lowest_v[k], 26 - 0.6 * static_cast<double>(k), 1e-12);
        EXPECT_NEAR(course.charge_fraction[k], 1 - 0.03 * static_cast<double>(k), 1e-12);
    }
    EXPECT_NEAR(course.lowest_v[5], 23.1, 1e-12);
    EXPECT_NEAR(course.charge_fraction[5], 0.855, 1e-12);
}

TEST(BatteryFan, PercentilesOfKnownCourses) {
    // Closed form: percentiles of 0, 0.01, ..., 1 and of 20, 22, ..., 120.
    std::vector<BatteryCourse> courses;
    for (int i = 0; i <= 100; ++i)
        courses.push_back({{1, 0.01 * i}, {std::nan(""), i % 2 == 0 ? 20.0 + i : std::nan("")}});
    courses.push_back({});  // a draw that never came to a connection
    const BatteryFan fan = battery_fan(0, courses);
    EXPECT_EQ(fan.draws, 101);
    ASSERT_EQ(fan.time_s.size(), 2u);
    EXPECT_EQ(fan.time_s[1], battery_grid_step_s);
    EXPECT_EQ(fan.connected[0], 0);
    EXPECT_EQ(fan.connected[1], 51);
    EXPECT_TRUE(std::isnan(fan.lowest_v[0].percentiles.p50));
    EXPECT_DOUBLE_EQ(fan.charge_fraction[1].percentiles.p10, 0.1);
    EXPECT_DOUBLE_EQ(fan.charge_fraction[1].percentiles.p50, 0.5);
    EXPECT_DOUBLE_EQ(fan.charge_fraction[1].percentiles.p90, 0.9);
    EXPECT_DOUBLE_EQ(fan.charge_fraction[1].lowest, 0);
    EXPECT_DOUBLE_EQ(fan.charge_fraction[1].highest, 1);
    EXPECT_DOUBLE_EQ(fan.lowest_v[1].percentiles.p50, 70);
    EXPECT_EQ(battery_fan(0, {}).draws, 0);
}

TEST(BatteryFan, OfTheDrawsDoesNotDependOnThreadsAndHoldsTheDay) {
    const Plan plan = load_plan(ampturn::test::source_path("demo/quick.toml"));
    const DrawSummary one = run_draws(plan, {.draws = 9, .seed = 4, .threads = 1});
    const DrawSummary three = run_draws(plan, {.draws = 9, .seed = 4, .threads = 3});
    EXPECT_EQ(battery_fan_csv(one.battery), battery_fan_csv(three.battery));
    const DayResult day = simulate_day(plan);
    EXPECT_EQ(draws_json_text(one, day), draws_json_text(three, day));
    const BatteryFan& fan = one.battery;
    EXPECT_EQ(fan.draws, 9);
    double lowest_v = HUGE_VAL;
    for (std::size_t k = 0; k < fan.time_s.size(); ++k) {
        const Spread& charge = fan.charge_fraction[k];
        EXPECT_LE(charge.lowest, charge.percentiles.p10);
        EXPECT_LE(charge.percentiles.p10, charge.percentiles.p50);
        EXPECT_LE(charge.percentiles.p50, charge.percentiles.p90);
        EXPECT_LE(charge.percentiles.p90, charge.highest);
        if (k > 0) {
            EXPECT_LE(charge.highest, fan.charge_fraction[k - 1].highest + 1e-12) << "one set only falls";
        }
        if (fan.connected[k] > 0) lowest_v = std::min(lowest_v, fan.lowest_v[k].lowest);
    }
    // The same extreme by another way: the lowest voltage of each draw.
    EXPECT_LE(lowest_v, one.lowest_battery_v.p10);
    EXPECT_GT(lowest_v, 0);
}

}  // namespace
}  // namespace ampturn::plan
