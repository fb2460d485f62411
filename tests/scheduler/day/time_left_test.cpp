#include "scheduler/day/time_left.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <variant>

#include "scheduler/base/number_text.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/day/day_run.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"

namespace time_left_test {

using namespace ampturn;
using day::DayRun;
using plan::Plan;
using plan::file::load_plan;
using plan::file::Setting;

Plan demo(const char* name, const std::vector<Setting>& settings) {
    return load_plan(ampturn::test::source_path(name), settings);
}

DayRun run_of(const Plan& plan) {
    return day::run_day(plan, setup::survey_setup_of(plan),
                        {.seed = 1, .sets_available = plan.battery.sets_carried});
}

template <typename Kind>
int count_of(const DayRun& run, day::Crew crew) {
    return static_cast<int>(std::count_if(run.timeline.begin(), run.timeline.end(), [&](const auto& e) {
        const Kind* kind = std::get_if<Kind>(&e.activity);
        return kind != nullptr && kind->crew == crew;
    }));
}

/// Every mast that was raised sent something, every station laid out was sent something or was there when the
/// transmitter stopped.
void expect_nothing_in_vain(const DayRun& run, const std::string& what) {
    for (const day::TimelineEntry& e : run.timeline) {
        const day::SetUp* set_up = std::get_if<day::SetUp>(&e.activity);
        if (set_up == nullptr) continue;
        const bool transmitter = set_up->crew == day::Crew::transmitter;
        EXPECT_TRUE(std::any_of(run.sweeps.begin(), run.sweeps.end(),
                                [&](const day::SweepOutcome& s) {
                                    return transmitter ? s.site_index == e.site_index && !s.steps.empty()
                                                       : s.heard_by(e.station_index) && !s.steps.empty();
                                }))
            << what << (transmitter ? ": mast raised at " : ": sensors laid out at ")
            << (transmitter ? e.site_index : e.station_index) << " for nothing";
    }
}

TEST(TimeLeft, NobodyGoesOutWhenNothingCanBeSent) {
    const DayRun run = run_of(demo("demo/quick.toml", {{"day.end", "09:00:00"}}));
    ASSERT_EQ(run.sweeps.size(), 2u);
    for (const day::SweepOutcome& sweep : run.sweeps)
        EXPECT_TRUE(sweep.stopped_by && std::holds_alternative<day::NoTimeLeft>(*sweep.stopped_by));
    EXPECT_EQ(count_of<day::SetUp>(run, day::Crew::transmitter), 0) << "definition: 70 min do not fit in 55";
    EXPECT_EQ(count_of<day::SetUp>(run, day::Crew::receiver), 0) << "definition: as above";
    EXPECT_EQ(run.timeline.size(), 1u) << "definition: the briefing alone";
    EXPECT_FALSE(run.completed);
}

TEST(TimeLeft, TheReceiverCrewStopsWhenTheDayIsOver) {
    const Plan whole = demo("demo/quick.toml", {});
    const DayRun all = run_of(whole);
    ASSERT_TRUE(all.completed);
    // Time for the first station's way back, not for another station.
    const day::Travel travel(whole);
    const double end_s = all.sweeps[0].end_s + day::way_back_s(whole, travel, {0}, "T") + 61;
    const DayRun run = run_of(demo("demo/quick.toml", {{"day.end", base::clock_text(std::floor(end_s))}}));
    EXPECT_TRUE(run.sweeps[0].complete());
    EXPECT_FALSE(run.sweeps[1].complete());
    EXPECT_EQ(count_of<day::SetUp>(run, day::Crew::receiver), 1) << "definition: at the first station only";
    EXPECT_LE(run.end_s, std::floor(end_s)) << "definition: back in time";
}

TEST(TimeLeft, NoMastAndNoStationInVainWheneverTheDayEnds) {
    int ends = 0;
    for (int hour = 9; hour <= 19; hour += 2, ++ends) {
        const std::string end = fmt::format("{:02}:30:00", hour);
        expect_nothing_in_vain(run_of(demo("demo/vesslarook.toml", {{"day.end", end}})), end);
    }
    EXPECT_EQ(ends, 6) << "definition: 09:30 to 19:30 in steps of two hours";
}

TEST(TimeLeft, ANightShiftEndsAfterMidnight) {
    const Plan plan = demo("demo/quick.toml", {{"day.start", "22:30:00"}, {"day.end", "05:00:00"}});
    EXPECT_EQ(plan.day.end_s, 29 * 3600.0) << "definition: 05:00 of the next day";
    const DayRun run = run_of(plan);
    EXPECT_TRUE(run.completed);
    EXPECT_GT(run.sweeps[1].start_s, 86'400) << "definition: after midnight";
    const Plan back = plan::file::parse_plan(plan::file::write_plan(plan), "night.toml");
    EXPECT_EQ(back.day.end_s, plan.day.end_s) << "identity: written and read";
    EXPECT_EQ(day::apply(back, {.start_s = 3600.0, .temperature_c = {}, .batteries = {}}).day.end_s,
              5 * 3600.0)
        << "definition: begun at 01:00 it ends the same morning";
    const auto remarks = plan::plan_remarks(plan);
    EXPECT_TRUE(
        std::any_of(remarks.begin(), remarks.end(), [](const auto& r) { return r.key == "day.end"; }));
}

TEST(TimeLeft, AMissingLegToTheBaseIsRemarkedOn) {
    const auto told = [](const Plan& plan) {
        const auto remarks = plan::plan_remarks(plan);
        return std::count_if(remarks.begin(), remarks.end(), [](const auto& r) { return r.key == "day"; });
    };
    EXPECT_EQ(told(demo("demo/quick.toml", {})), 1) << "definition: it has no leg at all";
    EXPECT_EQ(told(demo("demo/vesslarook.toml", {})), 0) << "definition: it has legs to the base";
}

TEST(TimeLeft, WaysWithoutALegAreRemarkedOnOnce) {
    const auto told = [](const Plan& plan) {
        std::string text;
        for (const plan::Remark& r : plan::plan_remarks(plan))
            if (r.key == "day.walking_speed_km_h") text += r.text + "\n";
        return text;
    };
    // Closed form: 120 and 350 m along one bearing, at 3 km/h (the default) 4.6 min, rounded up.
    EXPECT_EQ(told(demo("demo/quick.toml", {})),
              "no leg from \"near\" to \"far\": taken as a straight line at 3 km/h: 230 m in 5 min\n");
    EXPECT_EQ(told(demo("demo/quick.toml", {{"day.leg", "[{from = \"far\", to = \"near\", minutes = 9}]"}})),
              "")
        << "definition: it has its leg";
    const std::string many = told(demo("demo/vesslarook.toml", {}));
    EXPECT_NE(many.find("\"V01\" to \"V02\" and for 10 more ways"), std::string::npos)
        << "definition: twelve stations, one leg between the masts: " << many;
}

TEST(TimeLeft, AMarkIsAWholeMinuteOrSecondOfUtc) {
    Plan plan = demo("demo/quick.toml", {});
    plan.sweep.start_align = plan::Align::minute;
    EXPECT_EQ(day::on_mark(plan, 130), 180) << "definition";
    EXPECT_EQ(day::on_mark(plan, 180), 180) << "definition";
    plan.survey.utc_offset_h = 5.75;  // a quarter of an hour off is whole minutes still
    EXPECT_EQ(day::on_mark(plan, 130), 180) << "definition";
    plan.sweep.start_align = plan::Align::second;
    EXPECT_EQ(day::on_mark(plan, 130.2), 131) << "definition";
    plan.sweep.start_align = plan::Align::none;
    EXPECT_EQ(day::on_mark(plan, 130.2), 130.2) << "definition";
}

TEST(TimeLeft, ASweepFitsToTheSecond) {
    // Definition: ready when the later of both crews is, agreed, armed 10 s before go and go 5 s before the mark, warned, sent, and back.
    Plan plan = demo("demo/quick.toml", {});
    plan.sweep.start_align = plan::Align::none;
    const day::Travel travel(plan);
    const std::string site = plan.stations[0].site, station = plan.stations[0].name;
    const double lead_s = plan.unit.warning_s + 10 + 5, sweep_s = 333;
    EXPECT_EQ(day::lead_before_sweep_s(plan), lead_s);
    const double after_s =
        60 * plan.day.agree_min + lead_s + sweep_s + day::way_back_s(plan, travel, {0}, site);
    const auto ends_at = [&](const day::Crews& crews, double finish_s) {
        plan.day.end_s = finish_s + 0.01;
        EXPECT_TRUE(day::first_sweep_fits(plan, travel, sweep_s, {0}, crews));
        plan.day.end_s = finish_s - 0.01;
        EXPECT_FALSE(day::first_sweep_fits(plan, travel, sweep_s, {0}, crews));
    };
    // The transmitter crew decides: it comes and sets up.
    ends_at({.transmitter = {5000, station}, .receivers = {{-1e6, "base"}}},
            5000 + travel.seconds(station, site) + 60 * plan.day.transmitter_set_up_min + after_s);
    // It stands already.
    ends_at({.transmitter = {5000, site}, .receivers = {{-1e6, "base"}}}, 5000 + after_s);
    // The receiver crew decides: it comes from the other station and sets up.
    const std::string other = plan.stations[1].name;
    ASSERT_GT(travel.seconds(other, station), 60);
    ends_at({.transmitter = {0, site}, .receivers = {{5000, other}}},
            5000 + travel.seconds(other, station) + 60 * plan.day.receiver_set_up_min + after_s);
    plan.day.end_s = 0;
    EXPECT_TRUE(day::stations_in_time(plan, travel, sweep_s, {0, 1},
                                      {.transmitter = {5000, site}, .receivers = {{0, "base"}}})
                    .empty());
    plan.day.end_s = 86400;
    EXPECT_EQ(day::stations_in_time(plan, travel, sweep_s, {0, 1},
                                    {.transmitter = {5000, site}, .receivers = {{0, "base"}}}),
              (std::vector<std::size_t>{0, 1}));
}

}  // namespace time_left_test
