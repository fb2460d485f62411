#include "scheduler/day/receiver_crews.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <variant>
#include <vector>

#include "scheduler/base/number_text.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/day/day_run.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace receiver_crews_test {

using namespace ampturn;
using day::DayResult;
using day::DayRun;
using plan::Plan;
using plan::file::Setting;
using testing::ElementsAre;

/// quick.toml with ways of its own and these crews.
Plan quick(const std::string& crews, std::vector<Setting> settings = {}) {
    settings.push_back(
        {"day.leg",
         "[{from = \"base\", to = \"T\", minutes = 10}, {from = \"base\", to = \"near\", minutes = "
         "15}, {from = \"base\", to = \"far\", minutes = 28}, {from = \"near\", to = \"far\", minutes "
         "= 8}]"});
    const std::string text = test::read_whole_file(test::source_path("demo/quick.toml")) + crews;
    return plan::file::parse_plan(text, "plan.toml", settings);
}
const std::string one_with_two_sets = "\n[[receiver_crew]]\nname = \"Juniper\"\nsensor_sets = 2\n";
const std::string two =
    "\n[[receiver_crew]]\nname = \"Juniper\"\n\n[[receiver_crew]]\nname = \"Sorrel\"\npeople = 3\n";
const Setting far_is_sorrels{"station[2].crew", "\"Sorrel\""};

DayRun run_of(const Plan& plan) {
    return day::run_day(plan, setup::survey_setup_of(plan),
                        {.seed = 1, .sets_available = plan.battery.sets_carried});
}

/// What a receiver crew does, in minutes after the start: "11 near", of one kind.
template <class Kind>
std::vector<std::string> minutes_of(const Plan& plan, const DayRun& run, int crew) {
    std::vector<std::string> out;
    for (const day::TimelineEntry& e : run.timeline) {
        const Kind* kind = std::get_if<Kind>(&e.activity);
        if (kind == nullptr || kind->crew != day::Crew::receiver || kind->receiver_index != crew) continue;
        out.push_back(
            base::brief((e.start_s - plan.day.start_s) / 60, 6) + " " +
            (e.station_index < 0 ? "base" : plan.stations[static_cast<std::size_t>(e.station_index)].name));
    }
    return out;
}

TEST(ReceiverCrewsOnADay, OneCrewLaysOutAsManyStationsAsItHasSets) {
    const Plan plan = quick(one_with_two_sets);
    const DayRun run = run_of(plan);
    // Definition: 5 min briefing, 15 to "near", 30 to set up, 8 on, 30 to set up.
    EXPECT_THAT(minutes_of<day::SetUp>(plan, run, 0), ElementsAre("20 near", "58 far"));
    ASSERT_EQ(run.sweeps.size(), 1u) << "definition: one sweep for both";
    EXPECT_THAT(run.sweeps[0].listeners, ElementsAre(0, 1));
    EXPECT_TRUE(run.completed);
    // Definition: 5 min to look at the data, back 8 to "near", 10 to pack up, 8 on, 10 to pack up, 28 home.
    const double looked_s = run.sweeps[0].end_s + 300;
    EXPECT_NEAR(run.receivers_back_s[0], looked_s + 60 * (8 + 10 + 8 + 10 + 28), 1e-6);
    EXPECT_EQ(minutes_of<day::PackUp>(plan, run, 0).size(), 2u);
    EXPECT_EQ(run.end_s, run.receivers_back_s[0]) << "definition: the transmitter's way is shorter";
}

TEST(ReceiverCrewsOnADay, CrewsWorkSideBySide) {
    const Plan plan = quick(two, {far_is_sorrels});
    const DayRun run = run_of(plan);
    EXPECT_THAT(minutes_of<day::SetUp>(plan, run, 0), ElementsAre("20 near"));
    EXPECT_THAT(minutes_of<day::SetUp>(plan, run, 1), ElementsAre("33 far"));
    ASSERT_EQ(run.sweeps.size(), 1u);
    const double looked_s = run.sweeps[0].end_s + 300;
    EXPECT_NEAR(run.receivers_back_s[0], looked_s + 60 * (10 + 15), 1e-6) << "definition: packing up, home";
    EXPECT_NEAR(run.receivers_back_s[1], looked_s + 60 * (10 + 28), 1e-6) << "definition: packing up, home";
    // Definition of person-hours: two at the transmitter, two and three with the receivers, each until back.
    const double tx_back_s = run.sweeps[0].end_s + 60 * (25 + 10);
    EXPECT_NEAR(run.person_hours * 3600,
                2 * (tx_back_s - plan.day.start_s) + 2 * (run.receivers_back_s[0] - plan.day.start_s) +
                    3 * (run.receivers_back_s[1] - plan.day.start_s),
                10)
        << "definition; seconds: the unit's own clock ends the sweep";
}

TEST(ReceiverCrewsOnADay, ASweepIsSentOnceWhoeverListens) {
    const DayResult apart = day::simulate_day(quick("")),
                    together = day::simulate_day(quick(one_with_two_sets));
    ASSERT_EQ(apart.sweeps.size(), 2u);
    ASSERT_EQ(together.sweeps.size(), 1u);
    double of_steps_wh = 0;
    for (const day::StepOutcome& step : together.sweeps[0].steps) of_steps_wh += step.energy_wh;
    EXPECT_NEAR(together.sweeps[0].energy_wh, of_steps_wh, 1e-9) << "identity: a sweep is its steps";
    EXPECT_LT(together.energy_wh, 0.75 * apart.energy_wh) << "half the sweeps, and less waiting";
    // Identity: a station records the same whether another listens too; the battery is a little fuller or emptier.
    ASSERT_EQ(apart.readings.size(), together.readings.size());
    for (std::size_t i = 0; i < apart.readings.size(); ++i) {
        EXPECT_EQ(apart.readings[i].dwell_a_s, together.readings[i].dwell_a_s);
        EXPECT_NEAR(together.readings[i].moment_a_a_m2 / apart.readings[i].moment_a_a_m2, 1, 0.01);
    }
}

TEST(ReceiverCrewsOnADay, AllThatStandRecordWhatTheOneThatAsksMostGets) {
    const Setting thrice{"station[2].sweeps", "3"};
    const DayResult once = day::simulate_day(quick(one_with_two_sets)),
                    three = day::simulate_day(quick(one_with_two_sets, {thrice}));
    ASSERT_EQ(three.sweeps.size(), 3u);
    EXPECT_TRUE(three.completed);
    for (std::size_t i = 0; i < once.readings.size(); ++i)
        EXPECT_NEAR(three.readings[i].dwell_a_s, 3 * once.readings[i].dwell_a_s, 1e-3)
            << "definition: at both stations, whichever asked";
    const std::vector<day::SweepsHeard> heard = day::sweeps_heard(three.sweeps);
    ASSERT_EQ(heard.size(), 1u);
    EXPECT_EQ(heard[0].sweeps, 3);
    EXPECT_EQ(heard[0].stations, 2);
}

TEST(ReceiverCrewsOnADay, AStationThatWouldMakeTheGroupLateIsLeftOff) {
    const Plan whole = quick(two, {far_is_sorrels});
    const DayRun all = run_of(whole);
    ASSERT_TRUE(all.completed);
    // Sorrel comes back last, by 13 min: an end between the two leaves her station off.
    const double end_s = (all.receivers_back_s[0] + all.receivers_back_s[1]) / 2;
    const Plan plan = quick(two, {far_is_sorrels, {"day.end", base::clock_text(std::floor(end_s))}});
    const DayRun run = run_of(plan);
    ASSERT_EQ(run.sweeps.size(), 2u);
    const auto lost =
        std::find_if(run.sweeps.begin(), run.sweeps.end(), [](const auto& s) { return !s.complete(); });
    ASSERT_NE(lost, run.sweeps.end());
    EXPECT_THAT(lost->listeners, ElementsAre(1)) << "definition: \"far\"";
    ASSERT_TRUE(lost->stopped_by.has_value());
    EXPECT_TRUE(std::holds_alternative<day::NoTimeLeft>(*lost->stopped_by));
    EXPECT_FALSE(run.completed);
    EXPECT_TRUE(minutes_of<day::SetUp>(plan, run, 1).empty()) << "definition: nobody goes out for nothing";
    EXPECT_LE(run.end_s, plan.day.end_s);
}

TEST(ReceiverCrewsOnADay, ACrewThatSetsUpNothingStaysAtTheBase) {
    const Plan plan = quick(two);
    const DayRun run = run_of(plan);
    EXPECT_TRUE(std::isnan(run.receivers_back_s[1]));
    const DayRun alone = run_of(quick("\n[[receiver_crew]]\nname = \"Juniper\"\n"));
    EXPECT_EQ(run.person_hours, alone.person_hours) << "identity: it counts no hour";
    EXPECT_EQ(run.end_s, alone.end_s);
}

TEST(ReceiverCrewsOnADay, OneNamedCrewWithOneSetIsTheDayWithoutAny) {
    const DayResult unnamed = day::simulate_day(quick("")),
                    named = day::simulate_day(quick("\n[[receiver_crew]]\nname = \"Juniper\"\n"));
    ASSERT_EQ(unnamed.sweeps.size(), named.sweeps.size());
    for (std::size_t i = 0; i < named.sweeps.size(); ++i) {
        EXPECT_EQ(unnamed.sweeps[i].listeners, named.sweeps[i].listeners) << "identity";
        EXPECT_EQ(unnamed.sweeps[i].start_s, named.sweeps[i].start_s) << "identity";
        EXPECT_EQ(unnamed.sweeps[i].energy_wh, named.sweeps[i].energy_wh) << "identity";
    }
    EXPECT_EQ(unnamed.end_s, named.end_s);
    EXPECT_EQ(unnamed.person_hours, named.person_hours);
    EXPECT_EQ(unnamed.passed_count, named.passed_count);
}

TEST(ReceiverCrewsOnADay, RunsOfManyDaysGoThroughIt) {
    const Plan plan = quick(two, {far_is_sorrels});
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const auto one = day::run_monte_carlo(plan, setup, {.runs = 6, .threads = 1}),
               many = day::run_monte_carlo(plan, setup, {.runs = 6, .threads = 3});
    EXPECT_EQ(one.energy_wh.p50, many.energy_wh.p50) << "identity: whatever the threads";
    EXPECT_EQ(one.end_s.p90, many.end_s.p90);
    EXPECT_NEAR(one.completes_probability, 1, 1e-12) << "definition: the day has hours to spare";
    const auto apart = day::run_monte_carlo(quick(""), {.runs = 6});
    EXPECT_LT(one.energy_wh.p50, 0.75 * apart.energy_wh.p50) << "half the sweeps";
    EXPECT_LT(one.end_s.p50, apart.end_s.p50);
}

}  // namespace receiver_crews_test
