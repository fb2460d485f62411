#include <gtest/gtest.h>

#include <string>

#include "scheduler/day/day.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/day_json.hpp"
#include "tests/paths.hpp"

namespace own_surroundings_test {

using namespace ampturn;
using namespace ampturn::plan;

Plan quick() { return plan::file::load_plan(test::source_path("demo/quick.toml")); }

/// The same plan with its ground and its sensors under names.
Plan named(Plan plan) {
    plan.grounds = {{"once", plan.earth}, {"twice", plan.earth}};
    plan.stations[0].ground_index = 0;
    plan.stations[1].ground_index = 1;
    plan.sensor_sets = {
        {.name = "same", .dipole_m = plan.receiver.dipole_m, .contact_resistance_ohm = {}, .coil = {}}};
    plan.stations[1].sensors_index = 0;
    return plan;
}

TEST(OwnSurroundings, TheSameUnderNamesIsTheSameDayByteForByte) {
    // Identity: names compute nothing; Monte Carlo runs draw the same grounds.
    const Plan plan = quick();
    EXPECT_EQ(report::day_json_text(day::simulate_day(plan)),
              report::day_json_text(day::simulate_day(named(plan))));
    const day::MonteCarloOptions options{.runs = 6};
    const auto a = day::run_monte_carlo(plan, options), b = day::run_monte_carlo(named(plan), options);
    EXPECT_EQ(a.passed_count.p50, b.passed_count.p50);
    ASSERT_EQ(a.readings.size(), b.readings.size());
    for (std::size_t i = 0; i < a.readings.size(); ++i)
        EXPECT_EQ(a.readings[i].usable_probability, b.readings[i].usable_probability);
    ASSERT_EQ(a.influences.size(), b.influences.size());
    for (std::size_t i = 0; i < a.influences.size(); ++i)
        EXPECT_EQ(a.influences[i].on_passed_count, b.influences[i].on_passed_count);
}

TEST(OwnSurroundings, TwoGroundsGiveWhatTwoDaysGive) {
    // Identity: the readings of each station are those of a plan whose [earth] is its ground and which has it alone to look at.
    Plan both = quick(), second = quick();
    Ground bog = both.earth;
    bog.resistivity_ohm_m = {30, 900};
    both.grounds = {{"bog", bog}};
    both.stations[1].ground_index = 0;
    second.earth = bog;
    const auto whole = day::simulate_day(both), first = day::simulate_day(quick()),
               other = day::simulate_day(second);
    ASSERT_EQ(whole.readings.size(), first.readings.size());
    int compared = 0;
    for (std::size_t i = 0; i < whole.readings.size(); ++i) {
        const reading::Reading& there =
            whole.readings[i].station_index == 0 ? first.readings[i] : other.readings[i];
        // 1e-5: the fields' tolerance, for stations that share contours with others.
        EXPECT_NEAR(whole.readings[i].resistivity_xy_ohm_m, there.resistivity_xy_ohm_m,
                    1e-5 * there.resistivity_xy_ohm_m);
        EXPECT_EQ(whole.readings[i].plane_resistivity_ohm_m, there.plane_resistivity_ohm_m);
        EXPECT_EQ(whole.readings[i].verdict, there.verdict);
        ++compared;
    }
    EXPECT_EQ(compared, 8);
}

}  // namespace own_surroundings_test
