#include "scheduler/tune/make_it_go.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/base/input_error.hpp"
#include "scheduler/day/station_order.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"

namespace make_it_go_test {

using namespace ampturn;
using plan::Plan;
using plan::file::Setting;
using testing::HasSubstr;
using tune::MadeToGo;

Plan quick(const std::vector<Setting>& settings = {}) {
    return plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

MadeToGo made_of(const Plan& plan) { return tune::make_day_go(plan, {}, {.seed = 1, .threads = 1}); }

TEST(MakeItGo, ADayThatGoesIsLeftAlone) {
    const MadeToGo made = made_of(quick());
    EXPECT_TRUE(made.goes && made.as_planned);
    EXPECT_THAT(tune::made_to_go_text(made, "p.toml", "", "t.toml"),
                testing::StartsWith("The day goes as planned"));
}

// One more set was the advice, and did not help: there was no time for the second station.
TEST(MakeItGo, SetsAndTimeTogether) {
    const Plan plan = quick({{"battery.capacity_ah", "0.12"}, {"day.end", "10:25:00"}});
    const day::DayResult more =
        day::simulate_day(day::apply(plan, {.start_s = {}, .temperature_c = {}, .batteries = 2}));
    EXPECT_FALSE(more.completed) << "definition: sets alone do not do";
    const MadeToGo made = made_of(plan);
    ASSERT_TRUE(made.goes);
    EXPECT_FALSE(made.as_planned);
    EXPECT_EQ(made.change.batteries, 2) << "definition: 0.12 Ah carry one sweep, not two";
    ASSERT_TRUE(made.change.start_s.has_value());
    EXPECT_TRUE(made.change.without.empty());
    const std::string text = tune::made_to_go_text(made, "p.toml", "", "t.toml");
    EXPECT_THAT(text, HasSubstr("ampturn day p.toml --start "));
    EXPECT_THAT(text, HasSubstr(" --batteries 2"));
    // Identity: the day of the command is the day that was tried.
    const day::DayResult again = day::simulate_day(
        day::apply(plan,
                   {.start_s = made.change.start_s, .temperature_c = {}, .batteries = made.change.batteries}),
        {.seed = 1});
    EXPECT_TRUE(again.completed);
    EXPECT_EQ(again.end_s, made.day.end_s) << "identity: the same run";
}

// More sets carried change nothing where none is ever joined.
TEST(MakeItGo, SwapsWhereThePlanNeverDoes) {
    const std::vector<Setting> small{{"battery.capacity_ah", "0.12"}, {"day.swap_rule", "never"}};
    const MadeToGo made = made_of(quick(small));
    ASSERT_TRUE(made.goes) << tune::made_to_go_text(made, "p.toml", "", "t.toml");
    EXPECT_TRUE(made.change.swap_at_cut_off);
    EXPECT_EQ(made.change.batteries, 2) << "definition: 0.12 Ah carry one sweep, not two";
    EXPECT_THAT(tune::made_to_go_text(made, "p.toml", "", "t.toml"),
                HasSubstr("ampturn day p.toml --set day.swap_rule=at_cut_off --batteries 2"));
    // Identity: the printed command's plan gives the day that was tried.
    std::vector<Setting> printed = small;
    printed.back().value = "at_cut_off";
    const day::DayResult again =
        day::simulate_day(day::apply(quick(printed), {.start_s = {}, .temperature_c = {}, .batteries = 2}));
    EXPECT_TRUE(again.completed);
    EXPECT_EQ(again.end_s, made.day.end_s) << "identity: the same run";
}

TEST(MakeItGo, DwellsAreTunedBeforeAStationIsLeftOut) {
    const Plan plan = quick({{"day.start", "00:10:00"}, {"day.end", "02:50:00"}, {"sweep.dwell_s", "60"}});
    const MadeToGo made = made_of(plan);
    ASSERT_TRUE(made.goes) << tune::made_to_go_text(made, "p", "", "t");
    EXPECT_TRUE(made.change.without.empty());
    ASSERT_TRUE(made.change.time_budget_s);
    EXPECT_EQ(*made.change.time_budget_s, std::ceil(0.75 * setup::survey_setup_of(plan).table.duration_s))
        << "definition: three quarters of the sweep's time";
}

// Three quarters of the time are filled, and too long; half of it is not.
TEST(MakeItGo, DwellsAreTunedToHalfWhereThreeQuartersDoNot) {
    const Plan plan = quick({{"day.start", "00:10:00"},
                             {"day.end", "03:04:00"},
                             {"sweep.dwell_s", "120"},
                             {"sweep.current_a_peak", "0.35"}});
    const MadeToGo made = made_of(plan);
    ASSERT_TRUE(made.goes) << tune::made_to_go_text(made, "p", "", "t");
    EXPECT_TRUE(made.change.without.empty());
    EXPECT_EQ(made.change.time_budget_s, std::ceil(0.5 * setup::survey_setup_of(plan).table.duration_s))
        << "definition: half of the sweep's time";
}

// It is warm until the sweeps would begin: an hour earlier one set carries both.
TEST(MakeItGo, AFurtherSetCostsNoMoreThanAnHour) {
    const Plan plan = quick({{"battery.capacity_ah", "0.15"},
                             {"day.temperature_hour", "[0, 8.5, 8.7, 20]"},
                             {"day.temperature_c", "[20, 20, -40, -40]"}});
    const auto with_one_set_from = [&](double start_s) {
        return day::simulate_day(day::apply(plan, {.start_s = start_s, .temperature_c = {}, .batteries = 1}))
            .completed;
    };
    EXPECT_FALSE(with_one_set_from(plan.day.start_s - 1800));
    ASSERT_TRUE(with_one_set_from(plan.day.start_s - 3600)) << "or there is no choice";
    const MadeToGo made = made_of(plan);
    ASSERT_TRUE(made.goes);
    EXPECT_EQ(made.change.batteries, 2) << "definition: two points either way, and the set is tried first";
    EXPECT_FALSE(made.change.start_s);
}

TEST(MakeItGo, StationsAreLeftOutLast) {
    const Plan plan =
        quick({{"day.start", "00:10:00"}, {"day.end", "02:05:00"}, {"sweep.min_dwell_s", "10"}});
    const MadeToGo made = made_of(plan);
    ASSERT_TRUE(made.goes) << tune::made_to_go_text(made, "p", "", "t");
    EXPECT_EQ(made.change.without.size(), 1u) << "definition: there is time for one station of two";
    EXPECT_EQ(made.sweeps_whole, 1) << "definition: the one that is left";
}

// As planned one sweep of three is sent, half an hour earlier two are.
TEST(MakeItGo, StationsAreLeftOutOfTheNearestThatWasTried) {
    Plan plan = quick({{"day.start", "00:40:00"}, {"day.end", "02:50:00"}, {"sweep.min_dwell_s", "10"}});
    plan.stations.push_back(plan.stations.back());
    plan.stations.back().name = "third";
    const MadeToGo made = made_of(plan);
    ASSERT_TRUE(made.goes) << tune::made_to_go_text(made, "p", "", "t");
    EXPECT_EQ(made.change.start_s, 600) << "definition: half an hour before 00:40";
    EXPECT_EQ(made.change.without.size(), 1u);
    EXPECT_EQ(made.sweeps_whole, 2);
}

TEST(MakeItGo, SaysWhatIsNearestWhenNothingDoes) {
    const MadeToGo made = made_of(quick({{"day.start", "00:10:00"}, {"day.end", "00:30:00"}}));
    EXPECT_FALSE(made.goes);
    EXPECT_THAT(tune::made_to_go_text(made, "p", "", "t"),
                HasSubstr("Nothing that was tried makes the day go"));
}

TEST(MakeItGo, CommandsCanBePastedIntoAShell) {
    MadeToGo made = made_of(quick());
    made.as_planned = false;
    made.change = {.improved_order = true,
                   .start_s = 6.5 * 3600,
                   .time_budget_s = 120,
                   .swap_at_cut_off = true,
                   .batteries = 3,
                   .without = {"miller's end"}};
    const std::string text = tune::made_to_go_text(made, "p.toml", " --strict", "t.toml");
    EXPECT_THAT(text,
                HasSubstr("  ampturn tune p.toml --set sweep.time_budget_s=120 --quick --new-plan t.toml\n"));
    EXPECT_THAT(text, HasSubstr("  ampturn day t.toml --strict --set day.swap_rule=at_cut_off --start 06:30 "
                                "--batteries 3 --without 'miller'\\''s end' --order improved\n"));
}

TEST(WithoutStations, RefusesWhatItCannot) {
    EXPECT_EQ(tune::without_stations(quick(), {"near"}).stations.size(), 1u) << "definition: two less one";
    EXPECT_THROW(tune::without_stations(quick(), {"nowhere"}), base::InputError);
    EXPECT_THROW(tune::without_stations(quick(), {"near", "far"}), base::InputError);
}

// A day without a station that a leg leads to once ended in an internal error.
TEST(MakeItGo, AStationLeftOutTakesItsLegsAlong) {
    Plan plan = quick();
    plan.day.legs = {{"base", "T", 10}, {"near", "far", 20}, {"T", "far", 5}};
    const Plan without = tune::without_stations(plan, {"near"});
    ASSERT_EQ(without.day.legs.size(), 2u)
        << "definition: those between the base, the site and the other station";
    EXPECT_EQ(without.day.legs[1].minutes, 5);
    EXPECT_NO_THROW(day::simulate_day(without, {}));
}

}  // namespace make_it_go_test
