#include "scheduler/order/crew_order.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>
#include <string>
#include <vector>

#include "scheduler/day/day_run.hpp"
#include "scheduler/day/station_order.hpp"
#include "scheduler/order/ordered_day.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/listening_groups.hpp"
#include "scheduler/report/day_json.hpp"
#include "scheduler/run/counter_random.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace ampturn::order {
namespace crew_order_test {

constexpr double sweep_s = 700;

/// Stations strewn over a square of 2 km around one or two sites, given to crews of one to three sets by turns, with one
/// to four sweeps each; some legs and set-up times of their own.
plan::Plan strewn(std::size_t stations, std::size_t sites, std::size_t crews, std::uint64_t seed) {
    plan::Plan plan = plan::file::load_plan(test::source_path("demo/vesslarook.toml"));
    const plan::Station pattern = plan.stations.front();
    const run::CounterRandom random(seed, 1);
    std::uint64_t index = 0;
    const auto below = [&](int count) { return static_cast<int>(count * random.uniform(index++)); };
    plan.receiver_crews.clear();
    for (std::size_t c = 0; c < crews; ++c) {
        plan.receiver_crews.push_back({.name = "crew " + std::to_string(c),
                                       .people = 1 + below(3),
                                       .sensor_sets = 1 + below(3),
                                       .set_up_min = {},
                                       .pack_up_min = {}});
        if (below(2) == 0) plan.receiver_crews.back().set_up_min = 10 + below(40);
    }
    plan.stations.clear();
    for (std::size_t i = 0; i < stations; ++i) {
        plan::Station station = pattern;
        station.name = "S" + std::to_string(i);
        station.site_index = static_cast<int>(i * sites / stations);
        station.site = plan.sites[static_cast<std::size_t>(station.site_index)].name;
        station.place.x_m = 2000 * random.uniform(index++);
        station.place.y_m = 2000 * random.uniform(index++);
        station.crew_index = static_cast<int>(i % crews);
        station.sweeps = 1 + below(4);
        if (below(4) == 0) station.set_up_min = 5 + below(60);
        plan.stations.push_back(station);
    }
    std::erase_if(plan.day.legs, [](const plan::Leg& leg) { return leg.to.front() == 'V'; });
    plan.day.legs.push_back({"base", "S0", 12});
    return plan;
}

CrewDay own_day(const plan::Plan& plan) { return CrewTimes(plan, sweep_s).day_of(arrangement_of(plan)); }

bool no_better(const CrewDay& a, const CrewDay& b) {
    if (std::abs(a.end_s - b.end_s) > 1e-6) return a.end_s > b.end_s;
    if (a.sweeps != b.sweeps) return a.sweeps > b.sweeps;
    return a.person_s > b.person_s - 1e-3;
}

/// Calls `visit` for the plan with its stations in every order that visits each site once, and every station with every
/// crew: independent of how the search goes through them.
template <class Visit>
void each_arrangement(const plan::Plan& plan, Visit visit) {
    std::vector<std::size_t> order(plan.stations.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const std::size_t crews = plan.receiver_crews.size();
    std::size_t deals = 1;
    for (std::size_t i = 0; i < order.size(); ++i) deals *= crews;
    do {
        plan::Plan ordered = day::in_order(plan, order);
        if (plan::site_visits(ordered).size() > 2) continue;  // two sites at most in these tests
        for (std::size_t deal = 0; deal < deals; ++deal) {
            std::size_t rest = deal;
            for (plan::Station& station : ordered.stations) {
                station.crew_index = static_cast<int>(rest % crews);
                rest /= crews;
            }
            visit(ordered);
        }
    } while (std::next_permutation(order.begin(), order.end()));
}

TEST(CrewTimes, AreThoseOfTheDayItself) {
    // Identity: where every sweep is sent at once, the simulated day is over when its times say.
    for (
        const char* crews :
        {"\n[[receiver_crew]]\nname = \"Juniper\"\nsensor_sets = 2\n",
         "\n[[receiver_crew]]\nname = \"Juniper\"\nset_up_min = 17\n\n[[receiver_crew]]\nname = \"Sorrel\"\n"}) {
        plan::Plan plan = plan::file::parse_plan(
            test::read_whole_file(test::source_path("demo/quick.toml")) + crews, "plan.toml",
            {{"station[1].sweeps", "2"},
             {"day.leg",
              "[{from = \"base\", to = \"near\", minutes = 15}, {from = \"base\", to = \"T\", minutes = 9}]"}});
        plan.stations.push_back(plan.stations[0]);
        plan.stations.back().name = "third";
        plan.stations.back().crew_index = static_cast<int>(plan.receiver_crews.size()) - 1;
        const setup::SurveySetup setup = setup::survey_setup_of(plan);
        const day::DayRun run = day::run_day(plan, setup, {.sets_available = 1});
        ASSERT_TRUE(run.completed);
        ASSERT_EQ(run.batteries.size(), 1u);
        const CrewDay by_times = CrewTimes(plan, setup.table.duration_s).day_of(arrangement_of(plan));
        EXPECT_NEAR(by_times.end_s, run.end_s, 5) << "seconds: the unit's own clock ends the sweeps";
        EXPECT_NEAR(by_times.person_s / 3600, run.person_hours, 0.02);
        EXPECT_EQ(by_times.sweeps, static_cast<int>(run.sweeps.size()));
        EXPECT_EQ(by_times.sweeps, plan::sweeps_planned(plan));
    }
}

TEST(CrewOrder, IsTheBestOfAll) {  // independent: every order and every deal tried
    int tried = 0, better = 0;
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        const std::size_t sites = 1 + seed % 2, crews = 2 + seed % 3 / 2, stations = crews == 3 ? 4 : 5;
        const plan::Plan plan = strewn(stations, sites, crews, seed);
        const CrewOrder found = improved_crew_order(plan, sweep_s);
        EXPECT_TRUE(found.exact);
        const CrewDay of_plan = own_day(found.plan);
        EXPECT_EQ(of_plan.end_s, found.found.end_s) << "identity: the plan found has the day it says";
        EXPECT_EQ(of_plan.sweeps, found.found.sweeps);
        each_arrangement(plan, [&](const plan::Plan& other) {
            const CrewDay day = own_day(other);
            EXPECT_TRUE(no_better(day, found.found))
                << "seed " << seed << ": " << day.end_s << " s, found " << found.found.end_s;
            EXPECT_LE(found.bound.end_s, day.end_s + 1e-6) << "seed " << seed << ": below the bound of time";
            EXPECT_LE(found.bound.sweeps, day.sweeps) << "seed " << seed << ": below the bound of sweeps";
            ++tried;
        });
        better += !found.unchanged;
    }
    EXPECT_GT(tried, 10'000);
    EXPECT_GT(better, 5) << "definition: plans strewn without thought can nearly always be bettered";
}

TEST(CrewOrder, CountsWhatItTries) {
    // Definition: orders of n stations cut into c runs, site by site, times the orders of the sites.
    EXPECT_EQ(arrangements_of(strewn(5, 1, 2, 1)), 120 * 6);
    EXPECT_EQ(arrangements_of(strewn(4, 2, 2, 1)), 2 * (2 * 3) * (2 * 3));
    EXPECT_EQ(arrangements_of(strewn(3, 1, 3, 1)), 6 * 10);
}

TEST(CrewOrder, IsNeverWorseThanThePlansOwnAndKeepsEveryStation) {
    for (const std::size_t stations : {1, 2, 9, 30, 80})
        for (std::uint64_t seed = 1; seed <= 2; ++seed) {
            const plan::Plan plan = strewn(stations, stations > 1 ? 2 : 1, 2, seed);
            const CrewOrder found = improved_crew_order(plan, sweep_s);
            EXPECT_EQ(found.exact, arrangements_of(plan) <= exact_arrangements_most);
            EXPECT_TRUE(no_better(found.planned, found.found)) << stations << " stations, seed " << seed;
            EXPECT_LE(found.bound.end_s, found.found.end_s);
            EXPECT_LE(found.bound.sweeps, found.found.sweeps);
            std::vector<std::string> before, after;
            for (const plan::Station& station : plan.stations) before.push_back(station.name);
            for (const plan::Station& station : found.plan.stations) after.push_back(station.name);
            std::sort(before.begin(), before.end());
            std::sort(after.begin(), after.end());
            EXPECT_EQ(before, after);
        }
}

TEST(CrewOrder, ADescentComesNearTheBoundOfSweeps) {
    // Thirty stations that ask 1 to 4, one site: alike with alike is the least, and saves most of the time.
    plan::Plan plan = strewn(30, 1, 2, 3);
    for (plan::ReceiverCrew& crew : plan.receiver_crews) crew.sensor_sets = 2;
    const CrewOrder found = improved_crew_order(plan, sweep_s);
    EXPECT_FALSE(found.exact);
    EXPECT_LT(found.found.sweeps, found.planned.sweeps);
    EXPECT_LE(found.found.sweeps, found.bound.sweeps + 4);
    EXPECT_LT(found.found.end_s, found.planned.end_s);
}

TEST(CrewOrder, ASiteThatIsVisitedTwiceIsVisitedOnce) {
    plan::Plan plan = strewn(4, 2, 2, 5);
    std::swap(plan.stations[1], plan.stations[2]);
    ASSERT_EQ(plan::site_visits(plan).size(), 4u);
    EXPECT_EQ(plan::site_visits(improved_crew_order(plan, sweep_s).plan).size(), 2u);
}

TEST(OrderedDay, WithCrewsSaysWhatWasGained) {
    // Both stations to one crew by default; the other one has nothing to do.
    plan::Plan plan = plan::file::parse_plan(
        test::read_whole_file(test::source_path("demo/quick.toml")) +
            "\n[[receiver_crew]]\nname = \"Juniper\"\n\n[[receiver_crew]]\nname = \"Sorrel\"\n",
        "plan.toml");
    const OrderedDay ordered = simulate_day_in_improved_order(plan);
    ASSERT_TRUE(ordered.day.crew_order.has_value());
    const day::ImprovedCrews& order = *ordered.day.crew_order;
    EXPECT_FALSE(order.unchanged);
    EXPECT_TRUE(order.exact);
    EXPECT_EQ(order.planned_by_times.sweeps, 2);
    EXPECT_EQ(order.by_times.sweeps, 1) << "definition: both stations listen to one";
    EXPECT_EQ(order.bound.sweeps, 1);
    EXPECT_EQ(ordered.day.sweeps.size(), 1u);
    EXPECT_LT(ordered.day.end_s, order.planned_end_s);
    EXPECT_NE(ordered.plan.stations[0].crew_index, ordered.plan.stations[1].crew_index);
    const std::string json = report::day_json_text(ordered.day);
    EXPECT_NE(json.find("\"crew_order\": {"), std::string::npos);
    EXPECT_NE(json.find("\"lower_bound\""), std::string::npos);
    const OrderedDay again = simulate_day_in_improved_order(ordered.plan);
    EXPECT_TRUE(again.day.crew_order->unchanged) << "identity: the best is kept";
}

}  // namespace crew_order_test
}  // namespace ampturn::order
