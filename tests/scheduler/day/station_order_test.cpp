#include "scheduler/day/station_order.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/run/counter_random.hpp"
#include "tests/paths.hpp"

namespace ampturn::day {
namespace station_order_test {

plan::Plan demo(const std::vector<plan::file::Setting>& settings = {}) {
    return plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"), settings);
}

/// Stations strewn over a square of 2 km, sites by turns; some legs with a time of their own.
plan::Plan strewn(std::size_t count, std::uint64_t seed, std::size_t legs = 4) {
    plan::Plan plan = demo();
    const plan::Station pattern = plan.stations.front();
    const run::CounterRandom random(seed, 1);
    std::uint64_t index = 0;
    plan.stations.clear();
    for (std::size_t i = 0; i < count; ++i) {
        plan::Station station = pattern;
        station.name = "S" + std::to_string(i);
        station.site_index = static_cast<int>(i % 2);
        station.site = plan.sites[i % 2].name;
        station.place.x_m = 2000 * random.uniform(index++);
        station.place.y_m = 2000 * random.uniform(index++);
        plan.stations.push_back(station);
    }
    std::erase_if(plan.day.legs,
                  [](const plan::Leg& leg) { return leg.to.front() == 'V'; });  // to the demo's stations
    plan.day.legs.push_back({"base", "S0", 12});
    for (std::size_t i = 0; i < legs; ++i)
        plan.day.legs.push_back(
            {plan.stations[i].name, plan.stations[(3 * i + 1) % count].name, 60 * random.uniform(index++)});
    return plan;
}

std::vector<std::size_t> in_turn(std::size_t count) {
    std::vector<std::size_t> visit(count);
    std::iota(visit.begin(), visit.end(), std::size_t{0});
    return visit;
}

TEST(StationOrder, IsTheShortestOfAllPermutations) {  // independent: every order tried
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        const plan::Plan plan = strewn(7, seed);
        std::vector<std::size_t> visit = in_turn(7);
        double shortest_s = cost_of_order(plan, visit).moving_s;
        do shortest_s = std::min(shortest_s, cost_of_order(plan, visit).moving_s);
        while (std::next_permutation(visit.begin(), visit.end()));
        const StationOrder found = improved_order(plan);
        EXPECT_TRUE(found.exact);
        EXPECT_NEAR(found.found.moving_s, shortest_s, 1e-6) << "seed " << seed;
        EXPECT_NEAR(cost_of_order(plan, found.visit).moving_s, shortest_s, 1e-6);
    }
}

TEST(StationOrder, LocalSearchComesNearTheShortest) {
    // Stations around a circle, one site, base on the spot: the shortest is along the circle but for its
    // longest gap (closed form).
    constexpr std::size_t count = 40;
    plan::Plan plan = strewn(count, 1, 0);
    plan.day.legs.clear();
    std::vector<double> angles;
    const run::CounterRandom random(3, 2);
    for (std::size_t i = 0; i < count; ++i) {
        angles.push_back(2 * M_PI * random.uniform(i));
        plan.stations[i].site_index = 0;
        plan.stations[i].site = plan.sites[0].name;
        plan.stations[i].place.x_m = 1000 * std::cos(angles[i]);
        plan.stations[i].place.y_m = 1000 * std::sin(angles[i]);
    }
    std::sort(angles.begin(), angles.end());
    double round_m = 0, longest_m = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const double gap_m =
            2000 *
            std::sin((i + 1 < count ? angles[i + 1] - angles[i] : angles[0] + 2 * M_PI - angles[i]) / 2);
        round_m += gap_m;
        longest_m = std::max(longest_m, gap_m);
    }
    const StationOrder found = improved_order(plan);
    EXPECT_FALSE(found.exact);
    EXPECT_GT(found.planned.receiver_m, 3 * found.found.receiver_m);
    EXPECT_GE(found.found.receiver_m, (round_m - longest_m) * (1 - 1e-12));
    EXPECT_LE(found.found.receiver_m, 1.05 * (round_m - longest_m));
}

TEST(StationOrder, IsNeverLongerThanTheKeptOneAndVisitsEachStationOnce) {
    for (const std::size_t count : {1, 2, 3, 14, 15, 60, 250})
        for (std::uint64_t seed = 1; seed <= 3; ++seed) {
            const plan::Plan plan = strewn(count, seed, std::min<std::size_t>(count - 1, 4));
            const StationOrder found = improved_order(plan);
            EXPECT_EQ(found.exact, count <= exact_order_stations_most);
            EXPECT_LE(found.found.moving_s, found.planned.moving_s) << count << " stations, seed " << seed;
            std::vector<std::size_t> sorted = found.visit;
            std::sort(sorted.begin(), sorted.end());
            EXPECT_EQ(sorted, in_turn(count));
            // What is shortest already is left alone.
            const StationOrder again = improved_order(in_order(plan, found.visit));
            if (found.exact) {
                EXPECT_EQ(again.visit, in_turn(count));
            }
            EXPECT_LE(again.found.moving_s, found.found.moving_s * (1 + 1e-9));
        }
}

TEST(StationOrder, LegsKeepTheirTimes) {
    // Straight lines would go 0, 1, 2; a leg of ten hours lies between 0 and 1.
    plan::Plan plan = strewn(3, 1, 0);
    plan.day.legs.clear();
    for (std::size_t i = 0; i < 3; ++i) {
        plan.stations[i].site_index = 0;
        plan.stations[i].site = plan.sites[0].name;
        plan.stations[i].place.x_m = 500.0 * static_cast<double>(i);
        plan.stations[i].place.y_m = 0;
    }
    EXPECT_EQ(improved_order(plan).visit, in_turn(3));
    plan.day.legs.push_back({"S1", "S0", 600});
    const StationOrder found = improved_order(plan);
    EXPECT_NE(found.visit, in_turn(3));
    EXPECT_LT(found.found.moving_s, 3600);
}

TEST(StationOrder, DoesNotChangeSitesWithoutNeed) {
    const StationOrder found = improved_order(strewn(12, 5));
    EXPECT_EQ(found.planned.site_visits, 12);
    EXPECT_EQ(found.found.site_visits, 2) << "each change costs packing up and setting up";
}

}  // namespace station_order_test
}  // namespace ampturn::day
