// Another morning for the same plan, and what a day's result says of the plan it was made from.
#include <gtest/gtest.h>

#include <algorithm>

#include "scheduler/base/input_error.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"

namespace what_if_test {

using namespace ampturn;
using namespace ampturn::day;

plan::Plan quick(const std::vector<plan::file::Setting>& settings = {}) {
    return plan::file::load_plan(test::source_path("demo/quick.toml"), settings);
}

TEST(WhatIf, ChangesWhatWasAskedAndNothingElse) {
    const plan::Plan as_is = quick();
    const plan::Plan same = apply(as_is, {});
    EXPECT_EQ(same.day.start_s, as_is.day.start_s);
    EXPECT_EQ(same.battery.sets_carried, as_is.battery.sets_carried);
    const plan::Plan changed = apply(as_is, {.start_s = 6.5 * 3600, .temperature_c = -8, .batteries = 3});
    EXPECT_EQ(changed.day.start_s, 6.5 * 3600);
    EXPECT_EQ(changed.battery.sets_carried, 3);
    for (const double hour : {0.0, 6.5, 12.0, 23.0})
        EXPECT_EQ(changed.day.air_temperature_c(3600 * hour), -8) << "definition: all day";
}

TEST(WhatIf, BatteriesAreOneToNinetyNineAndFurtherOnesAreLikeTheLast) {
    EXPECT_THROW((void)apply(quick(), {.batteries = 0}), base::InputError);
    EXPECT_THROW((void)apply(quick(), {.batteries = 100}), base::InputError);
    EXPECT_EQ(apply(quick(), {.batteries = 1}).battery.sets_carried, 1);
    EXPECT_EQ(apply(quick(), {.batteries = 99}).battery.sets_carried, 99);
    plan::Plan two = quick({{"battery.sets_carried", "2"},
                            {"battery.state_of_charge", "[1.0, 0.6]"},
                            {"battery.state_of_health", "[0.9]"}});
    two = apply(two, {.batteries = 4});
    EXPECT_EQ(two.battery.state_of_charge, (std::vector<double>{1.0, 0.6, 0.6, 0.6}));
    EXPECT_EQ(two.battery.state_of_health, std::vector<double>{0.9}) << "one for all stays one for all";
}

TEST(WhatIf, TemperaturesOutsideThePlansRangeAreRefused) {
    EXPECT_THROW((void)apply(quick(), {.temperature_c = -61}), base::InputError);
    EXPECT_THROW((void)apply(quick(), {.temperature_c = 71}), base::InputError);
}

TEST(DayResult, SaysOfWhichPlanAndTableItIs) {
    const plan::Plan plan = quick();
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const DayResult day = simulate_day(plan);
    EXPECT_EQ(day.survey_name, plan.survey.name);
    EXPECT_EQ(day.survey_note, plan.survey.notes);
    EXPECT_TRUE(day.invented);
    EXPECT_EQ(day.plan_path, plan.source.path);
    EXPECT_EQ(day.table_crc32, setup.table.crc32);
    EXPECT_EQ(day.table_duration_s, setup.table.duration_s);
    EXPECT_EQ(day.frequencies_hz, setup.frequencies_hz);
    EXPECT_EQ(day.battery_cut_off_v, plan.battery.cut_off_v);
    EXPECT_EQ(day.target_resistivity_percent, plan.targets.rho_error_percent);
    EXPECT_EQ(day.target_phase_deg, plan.targets.phase_error_deg);
    EXPECT_EQ(day.tolerance_bias_percent, plan.targets.rho_bias_percent);
    EXPECT_EQ(day.tolerance_bias_deg, plan.targets.phase_bias_deg);
    EXPECT_EQ(day.utc_offset_h, plan.survey.utc_offset_h);
    ASSERT_EQ(day.sites.size(), plan.sites.size());
    for (std::size_t i = 0; i < day.sites.size(); ++i) {
        EXPECT_EQ(day.sites[i].name, plan.sites[i].name);
        EXPECT_EQ(day.sites[i].keep_out_public_m, setup.keep_out.public_m);
        EXPECT_EQ(day.sites[i].keep_out_occupational_m, setup.keep_out.occupational_m);
    }
    int required = 0, passed = 0;
    ASSERT_EQ(day.stations.size(), plan.stations.size());
    for (const StationSummary& station : day.stations) {
        required += station.required_count;
        passed += station.passed_count;
    }
    EXPECT_EQ(required, day.required_count) << "identity";
    EXPECT_EQ(passed, day.passed_count) << "identity";
    EXPECT_EQ(required, static_cast<int>(std::count_if(day.readings.begin(), day.readings.end(),
                                                       [](const auto& r) { return r.required; })));
    double delivered_wh = 0;
    for (const BatteryUse& use : day.batteries) delivered_wh += use.delivered_wh;
    EXPECT_NEAR(day.energy_wh, delivered_wh, 1e-9) << "identity";
    EXPECT_GT(day.person_hours, 0);
    EXPECT_FALSE(day.battery_trace.empty());
    EXPECT_FALSE(day.cautions.empty());
}

}  // namespace what_if_test
