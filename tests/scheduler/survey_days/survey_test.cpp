#include "scheduler/survey_days/survey.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/base/number_text.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/day_json.hpp"
#include "scheduler/survey_days/chances.hpp"
#include "scheduler/survey_days/day_plan.hpp"
#include "scheduler/survey_days/survey_output.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace ampturn::survey_days {
namespace survey_test {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

// demo/quick.toml with more stations near its site, one sweep each, and days. Stations are named N1, N2, ...
std::string plan_text(int stations, const std::string& days, const std::string& more_battery = "") {
    std::string text = test::read_whole_file(test::source_path("demo/quick.toml"));
    const auto from = text.find("[[station]]"), to = text.find("[loop.a]");
    std::string list;
    for (int i = 0; i < stations; ++i)
        list += fmt::format("[[station]]\nname = \"N{}\"\noffset_m = {}\nbearing_deg = {}\n", i + 1,
                            200 + 10 * i, 40 * i);
    text.replace(from, to - from, list);
    const auto battery = text.find("cut_off_v = 22\n");
    text.insert(battery, more_battery);
    return text + days;
}

// The morning, sixty minutes and a bit for each station: two of them in the day, not three.
const std::string short_day =
    "[day]\nstart = \"08:00\"\nend = \"12:00\"\nreceiver_set_up_min = 30\nreceiver_pack_up_min = 10\n";
std::string day_of(int date, const std::string& more = "") {
    return fmt::format("[[survey_day]]\ndate = 2031-06-{:02}\n{}", date, more);
}
const std::string charging = "[charging]\ncharger_w = 100\nhours = 8\n";

plan::Plan parsed(const std::string& text) { return plan::file::parse_plan(text, "plan.toml"); }

std::vector<std::string> names(const plan::Plan& plan, const std::vector<int>& stations) {
    std::vector<std::string> out;
    for (const int s : stations) out.push_back(plan.stations[static_cast<std::size_t>(s)].name);
    return out;
}

// Closed form, by hand: off at 08:05, the transmitter stands at 09:15, the first sweep starts at 09:18 and takes 1.5 min. From
// one sweep to the next go 5 + 10 min, the way (3 to 6 min) and 30 + 2 min: 55 min to the next mark, so the third starts at
// 11:05, the crew is back at 11:32, and a fourth would start at 11:57, which leaves no 25 min for packing up before 12:00.
TEST(Survey, AssignsWhatIsOpenInPlanOrder) {
    const plan::Plan plan = parsed(
        plan_text(7, short_day + day_of(2) + day_of(3, "stations = [\"N2\"]\n") + day_of(4) + day_of(5)));
    const Survey s = survey(plan);
    ASSERT_EQ(s.days.size(), 4u);
    EXPECT_THAT(names(plan, s.days[0].done), ElementsAre("N1", "N3", "N4")) << "N2 is named by a later day";
    EXPECT_THAT(names(plan, s.days[1].done), ElementsAre("N2"));
    EXPECT_TRUE(s.days[1].own_stations);
    EXPECT_THAT(names(plan, s.days[2].done), ElementsAre("N5", "N6", "N7"));
    EXPECT_THAT(s.days[3].stations, IsEmpty());
    EXPECT_EQ(s.days[3].offered, 0);
    EXPECT_EQ(s.days[0].stations, s.days[0].done);
    EXPECT_EQ(s.days[0].open_after, 4);
    EXPECT_NEAR(*s.days[0].back_s, (11 * 60 + 31.5) * 60, 60);
    // Every station once, on the day that says so.
    std::vector<int> on(plan.stations.size(), 0);
    for (const SurveyedDay& day : s.days)
        for (const int station : day.done) ++on[static_cast<std::size_t>(station)];
    EXPECT_THAT(on, testing::Each(1));
    EXPECT_THAT(s.open, IsEmpty());
    EXPECT_FALSE(s.more);
    EXPECT_EQ(s.done_on[1], 1);
    for (const SurveyedDay& day : s.days)
        if (day.back_s) {
            EXPECT_LE(*day.back_s, 12 * 3600) << "definition: back by the end of the day";
        }
}

// Definition: what stays open is told, and so many more days are run.
TEST(Survey, TellsHowManyMoreDays) {
    const plan::Plan short_of_days = parsed(plan_text(7, short_day + day_of(2)));
    const Survey one = survey(short_of_days);
    ASSERT_TRUE(one.more);
    EXPECT_TRUE(one.more->finish);
    std::string days;
    for (int d = 0; d <= one.more->days; ++d) days += day_of(2 + d);
    EXPECT_THAT(survey(parsed(plan_text(7, short_day + days))).open, IsEmpty());
    days.resize(days.size() - day_of(2).size());
    EXPECT_FALSE(survey(parsed(plan_text(7, short_day + days))).open.empty()) << "one day fewer does not do";
    EXPECT_THAT(findings_of({short_of_days, one})[0], HasSubstr("like the last would finish them (tried)"));
}

// Definition: a station that fits into no day is never done, however many days there are.
TEST(Survey, SaysThatMoreDaysDoNotHelp) {
    const plan::Plan plan =
        parsed(plan_text(2, "[day]\nstart = \"08:00\"\nend = \"09:30\"\n" + day_of(2) + day_of(3)));
    const Survey s = survey(plan);
    EXPECT_EQ(s.open.size(), 2u);
    ASSERT_TRUE(s.more);
    EXPECT_FALSE(s.more->finish);
    EXPECT_FALSE(s.days[0].back_s) << "nobody leaves the base";
    EXPECT_THAT(findings_of({plan, s}),
                testing::Contains(HasSubstr("No open station can be begun on: 2031-06-02")));
}

// Identity: a day with its own stations is that day's plan run by itself, and a second one starts with the charge of the first.
TEST(Survey, TwoDaysAreTwoPlans) {
    const std::string first = "stations = [\"N1\", \"N3\"]\n",
                      second = "stations = [\"N2\"]\nstart = \"09:00\"\n";
    const std::string sets = "sets_carried = 2\nstate_of_charge = [0.9, 0.4]\n";
    const plan::Plan plan =
        parsed(plan_text(3, short_day + day_of(2, first) + day_of(3, second) + charging, sets));
    std::vector<day::DayResult> days;
    const Survey s =
        survey(plan, {.seed = 5, .threads = 1, .take = [&](int, const plan::Plan&, day::DayResult&& day) {
                          days.push_back(std::move(day));
                      }});
    ASSERT_EQ(days.size(), 2u);
    ASSERT_EQ(s.days[0].nights.size(), 1u);
    EXPECT_EQ(s.days[0].evening[0], days[0].batteries.back().left_fraction);
    EXPECT_EQ(s.days[0].evening[1], 0.4) << "a set that was not used";
    EXPECT_LT(s.days[0].evening[0], 0.9);
    EXPECT_EQ(s.days[1].morning[0], s.days[0].nights[0].sets[0].morning);
    EXPECT_EQ(s.days[1].morning[1], 1) << "the emptier set is charged first, and is full long before morning";
    EXPECT_EQ(s.days[0].nights[0].changes, 1);

    // The same two days written as two plans of one day.
    const auto alone = [&](const std::string& list, int date, const std::string& start,
                           const std::vector<double>& states) {
        std::string text = plan_text(3, short_day, sets);
        for (int i = 1; i <= 3; ++i)
            if (list.find(fmt::format("\"N{}\"", i)) == std::string::npos) {
                const auto from = text.find(fmt::format("[[station]]\nname = \"N{}\"", i));
                const auto to = std::min(text.find("[[station]]", from + 1), text.find("[loop.a]"));
                text.erase(from, to - from);
            }
        plan::Plan out =
            plan::file::parse_plan(text, "plan.toml",
                                   {plan::file::parse_setting(fmt::format("survey.date=2031-06-{:02}", date)),
                                    plan::file::parse_setting("day.start=\"" + start + "\""),
                                    plan::file::parse_setting(fmt::format("battery.state_of_charge=[{}, {}]",
                                                                          base::toml_number(states[0]),
                                                                          base::toml_number(states[1])))});
        out.source = plan.source;
        return report::day_json_text(day::simulate_day(out, {.seed = 5}));
    };
    EXPECT_EQ(report::day_json_text(days[0]), alone(first, 2, "08:00", s.days[0].morning));
    EXPECT_EQ(report::day_json_text(days[1]), alone(second, 3, "09:00", s.days[1].morning));
}

// Definition: without [charging], or with charge = false, batteries go on as they were in the evening.
TEST(Survey, ChargesOnlyWhereToldTo) {
    const std::string lists[] = {"stations = [\"N1\"]\n", "stations = [\"N2\"]\n", "stations = [\"N3\"]\n"};
    const Survey not_told = survey(
        parsed(plan_text(3, short_day + day_of(2, lists[0]) + day_of(3, lists[1]) + day_of(4, lists[2]))));
    EXPECT_EQ(not_told.days[1].morning, not_told.days[0].evening);
    EXPECT_TRUE(not_told.days[0].nights.empty());
    const Survey told =
        survey(parsed(plan_text(3, short_day + day_of(2, lists[0] + "charge = false\n") +
                                       day_of(3, lists[1]) + day_of(4, lists[2]) + charging)));
    EXPECT_EQ(told.days[1].morning, told.days[0].evening);
    EXPECT_GT(told.days[2].morning[0], told.days[1].evening[0]);
    EXPECT_TRUE(told.days[2].nights.empty()) << "nothing follows the last day";
}

// Definition: a night cut short by the next day's start is told where it leaves a set short, and nowhere else.
TEST(Survey, TellsOfNightsThatAreTooShort) {
    const std::string late = "start = \"20:00\"\nend = \"06:00\"\nstations = [\"N1\"]\n",
                      early = "start = \"06:30\"\nend = \"12:00\"\nstations = [\"N2\"]\n";
    const auto told = [&](const std::string& state_of_charge) {
        const plan::Plan plan = parsed(
            plan_text(2, day_of(2, late) + day_of(3, early) + "[charging]\ncharger_w = 100\nhours = 12\n",
                      "state_of_charge = [" + state_of_charge + "]\n"));
        const Survey s = survey(plan);
        EXPECT_LT(s.days[0].nights.at(0).hours, 12) << "definition: until half past six";
        return findings_of({plan, s});
    };
    const auto too_short = HasSubstr(
        "starts before charging.hours are over and batteries are full in the night after: 2031-06-02");
    EXPECT_THAT(told("0.1"), testing::Not(testing::Contains(too_short))) << "100 W fill it in time";
    EXPECT_THAT(told("1"), testing::Not(testing::Contains(too_short)));
    const plan::Plan plan =
        parsed(plan_text(2, day_of(2, late) + day_of(3, early) + "[charging]\ncharger_w = 20\nhours = 12\n",
                         "state_of_charge = [0.1]\n"));
    EXPECT_THAT(findings_of({plan, survey(plan)}), testing::Contains(too_short));
}

// Definition: a battery that carries one day and is not charged leaves the rest open; charged overnight it does them.
TEST(Survey, FlatBatteriesLeaveStationsOpen) {
    std::string text = plan_text(6, short_day + day_of(2) + day_of(3) + day_of(4));
    text.replace(text.find("capacity_ah = 20"), 16, "capacity_ah = 0.3");
    text.replace(text.find("dwell_s = 10"), 12, "dwell_s = 60");
    const Survey flat = survey(parsed(text));
    EXPECT_FALSE(flat.open.empty());
    EXPECT_TRUE(flat.days[0].battery_short || flat.days[1].battery_short || flat.days[2].battery_short);
    const Survey charged = survey(parsed(text + charging));
    EXPECT_LT(charged.open.size(), flat.open.size());
    EXPECT_GT(charged.days[1].morning[0], charged.days[0].evening[0]);
    EXPECT_EQ(next_need_met(charged, 0), !charged.days[1].battery_short);
}

// Identity: the first day's draws are those of the day's own Monte Carlo runs; threads change nothing.
TEST(Chances, AreTheDaysOwnRunsAndNeedNoThreads) {
    const plan::Plan plan =
        parsed(plan_text(3, short_day + day_of(2, "stations = [\"N1\", \"N2\"]\n") + day_of(3) + charging));
    const Chances one = chances(plan, {.draws = 16, .seed = 3, .threads = 1});
    const Chances two = chances(plan, {.draws = 16, .seed = 3, .threads = 2});
    ASSERT_EQ(one.days.size(), 2u);
    const plan::Plan first = plan_of_day(plan, plan.survey_days[0], {0, 1});
    const day::MonteCarloSummary runs = day::run_monte_carlo(first, {.runs = 16, .seed = 3});
    EXPECT_EQ(one.days[0].back_s->p10, runs.end_s.p10);
    EXPECT_EQ(one.days[0].back_s->p50, runs.end_s.p50);
    EXPECT_EQ(one.days[0].back_s->p90, runs.end_s.p90);
    for (std::size_t k = 0; k < 2; ++k) {
        EXPECT_EQ(one.days[k].finished, two.days[k].finished);
        EXPECT_EQ(one.days[k].stations_done.p50, two.days[k].stations_done.p50);
        ASSERT_EQ(one.days[k].back_s.has_value(), two.days[k].back_s.has_value());
        if (one.days[k].back_s) {
            EXPECT_EQ(one.days[k].back_s->p90, two.days[k].back_s->p90);
        }
    }
    EXPECT_EQ(one.days[0].finished, 0) << "definition: N3 is no station of the first day";
    EXPECT_GE(one.days[1].finished, one.days[0].finished);
    EXPECT_THAT(chance_lines(one, survey(plan).days)[1], HasSubstr("in 0 of 16 draws"));
    const Chances other = chances(plan, {.draws = 16, .seed = 4, .threads = 2});
    EXPECT_NE(one.days[0].back_s->p50, other.days[0].back_s->p50);
}

// Definition: legs to stations of other days are no business of this one.
TEST(DayPlan, LeavesOutOtherStationsAndTheirLegs) {
    const plan::Plan plan = parsed(plan_text(
        3, day_of(2, "stations = [\"N2\"]\n") + "[[day.leg]]\nfrom = \"base\"\nto = \"T\"\nminutes = 10\n"
                                                "[[day.leg]]\nfrom = \"base\"\nto = \"N1\"\nminutes = 20\n"
                                                "[[day.leg]]\nfrom = \"T\"\nto = \"N2\"\nminutes = 5\n"));
    const plan::Plan day = plan_of_date(plan, "2031-06-02");
    ASSERT_EQ(day.stations.size(), 1u);
    EXPECT_EQ(day.stations[0].name, "N2");
    EXPECT_EQ(day.day.legs.size(), 2u);
    EXPECT_EQ(base::date_text(day.survey.date), "2031-06-02");
    EXPECT_THROW(plan_of_date(plan, "2031-06-03"), base::InputError);
    EXPECT_THROW(plan_of_date(plan, ""), base::InputError);
}

// Identity: a plan written out again is the same plan.
TEST(DayPlan, SurvivesBeingWritten) {
    const plan::Plan plan = parsed(plan_text(
        3,
        short_day + day_of(2) +
            day_of(4, "stations = [\"N3\", \"N1\"]\nstart = \"20:00\"\nend = \"03:00\"\ncharge = false\n") +
            "[charging]\ncharger_w = 80\nchargers = 2\nhours = 7.5\nefficiency = 0.9\nplace_temperature_c = 4\n"
            "supply = \"vehicle\"\nsupply_w = 200\nsupply_wh = 900\n"));
    EXPECT_EQ(plan.survey_days[1].end_s, 27 * 3600) << "definition: through midnight";
    const plan::Plan again = parsed(plan::file::write_plan(plan));
    ASSERT_EQ(again.survey_days.size(), 2u);
    EXPECT_THAT(again.survey_days[1].stations, ElementsAre(2, 0));
    EXPECT_EQ(again.survey_days[1].end_s, plan.survey_days[1].end_s);
    EXPECT_FALSE(again.survey_days[1].charge);
    EXPECT_EQ(again.charging->supply, plan::ChargingSupply::vehicle);
    EXPECT_EQ(again.charging->supply_wh, 900);
    EXPECT_EQ(again.charging->hours, 7.5);
}

}  // namespace survey_test
}  // namespace ampturn::survey_days
