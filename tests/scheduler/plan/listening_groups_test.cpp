#include "scheduler/plan/listening_groups.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "scheduler/plan/receiver_crew.hpp"

namespace listening_groups_test {

using namespace ampturn::plan;
using testing::ElementsAre;

struct Place {
    int site, crew, sweeps;
};
Plan plan_of(const std::vector<int>& sensor_sets, const std::vector<Place>& places) {
    Plan plan;
    plan.sites = {{.name = "T", .place = {}, .loop_a_azimuth_deg = {}, .loop_b_azimuth_deg = {}},
                  {.name = "U", .place = {}, .loop_a_azimuth_deg = {}, .loop_b_azimuth_deg = {}}};
    for (const int sets : sensor_sets)
        plan.receiver_crews.push_back({.name = "crew " + std::to_string(plan.receiver_crews.size() + 1),
                                       .people = {},
                                       .sensor_sets = sets,
                                       .set_up_min = {},
                                       .pack_up_min = {}});
    for (const Place& place : places) {
        Station station;
        station.name = "S" + std::to_string(plan.stations.size());
        station.site_index = place.site;
        station.site = plan.sites[static_cast<std::size_t>(place.site)].name;
        station.crew_index = place.crew;
        station.sweeps = place.sweeps;
        plan.stations.push_back(station);
    }
    return plan;
}

std::vector<std::vector<std::size_t>> groups_of(const Plan& plan) {
    std::vector<std::vector<std::size_t>> out;
    for (const SiteVisit& visit : site_visits(plan))
        for (const ListeningGroup& group : visit.groups) out.push_back(group.stations);
    return out;
}

// Definition of a listening group throughout: the k-th batches of all crews at a site.

TEST(ListeningGroups, WithoutCrewsEachStationListensAlone) {
    const Plan plan = plan_of({}, {{0, 0, 1}, {0, 0, 2}, {1, 0, 1}, {0, 0, 1}});
    EXPECT_THAT(groups_of(plan), ElementsAre(ElementsAre(0), ElementsAre(1), ElementsAre(2), ElementsAre(3)));
    EXPECT_EQ(site_visits(plan).size(), 3u) << "definition: the first site is visited twice";
    EXPECT_EQ(sweeps_planned(plan), 5);
}

TEST(ListeningGroups, BatchesOfACrewAreAsLargeAsItsSetsAllow) {
    const Plan plan = plan_of({2}, {{0, 0, 1}, {0, 0, 3}, {0, 0, 1}, {1, 0, 1}, {1, 0, 1}});
    EXPECT_THAT(groups_of(plan), ElementsAre(ElementsAre(0, 1), ElementsAre(2), ElementsAre(3, 4)))
        << "definition: a batch does not reach over two sites";
    EXPECT_EQ(sweeps_planned(plan), 3 + 1 + 1) << "definition: the member that asks most decides";
    EXPECT_THAT(sweeps_recorded(plan), ElementsAre(3, 3, 1, 1, 1)) << "definition: all that stand record all";
}

TEST(ListeningGroups, TheKthBatchesOfAllCrewsListenTogether) {
    // Crew 1 with one set, crew 2 with two: in plan order, whoever's station comes first.
    const Plan plan = plan_of({1, 2}, {{0, 1, 1}, {0, 1, 1}, {0, 0, 2}, {0, 1, 1}, {0, 0, 1}, {0, 0, 4}});
    EXPECT_THAT(groups_of(plan), ElementsAre(ElementsAre(0, 1, 2), ElementsAre(3, 4), ElementsAre(5)));
    EXPECT_EQ(sweeps_planned(plan), 2 + 1 + 4);
}

// Definition: a crew's k-th set goes to the k-th station of each batch; other crews and other [[sensors]] have sets of their own.
TEST(ListeningGroups, WhichSetOfSensorsStandsWhere) {
    EXPECT_THAT(sensor_sets_standing(plan_of({}, {{0, 0, 1}, {0, 0, 2}, {1, 0, 1}})), ElementsAre(0, 0, 0));
    EXPECT_THAT(sensor_sets_standing(plan_of({2}, {{0, 0, 1}, {0, 0, 3}, {0, 0, 1}, {1, 0, 1}, {1, 0, 1}})),
                ElementsAre(0, 1, 0, 0, 1));
    EXPECT_THAT(sensor_sets_standing(plan_of({1, 1}, {{0, 0, 1}, {0, 1, 1}, {0, 1, 1}, {0, 0, 1}})),
                ElementsAre(0, 1, 1, 0));
    Plan named = plan_of({}, {{0, 0, 1}, {0, 0, 1}, {0, 0, 1}});
    named.stations[1].sensors_index = 0;
    EXPECT_THAT(sensor_sets_standing(named), ElementsAre(0, 1, 0));
}

TEST(ReceiverCrews, TakeWhatTheyDoNotSayFromTheDay) {
    Plan plan = plan_of({2, 1}, {{0, 0, 1}, {0, 1, 1}});
    plan.day.crew_receiver = 3;
    plan.day.receiver_set_up_min = 20;
    plan.day.receiver_pack_up_min = 7;
    plan.receiver_crews[1].people = 4;
    plan.receiver_crews[1].set_up_min = 11;
    plan.receiver_crews[1].pack_up_min = 5;
    const std::vector<CrewValues> crews = receiver_crews_of(plan);
    ASSERT_EQ(crews.size(), 2u);
    EXPECT_EQ(crews[0].people, 3) << "definition: the day's";
    EXPECT_EQ(crews[0].pack_up_s, 420) << "definition: the day's";
    EXPECT_EQ(crews[1].people, 4);
    EXPECT_EQ(crews[1].pack_up_s, 300);
    EXPECT_EQ(receiver_set_up_s(plan, plan.stations[0]), 1200) << "definition: the day's";
    EXPECT_EQ(receiver_set_up_s(plan, plan.stations[1]), 660) << "definition: its crew's";
    plan.stations[1].set_up_min = 40;
    EXPECT_EQ(receiver_set_up_s(plan, plan.stations[1]), 2400) << "definition: its own comes first";
    plan.receiver_crews.clear();
    EXPECT_EQ(receiver_crews_of(plan).size(), 1u) << "definition: one, as the day has it";
}

}  // namespace listening_groups_test
