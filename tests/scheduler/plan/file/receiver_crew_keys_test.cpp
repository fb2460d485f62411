#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"
#include "tests/scheduler/plan/file/problems_of.hpp"

namespace receiver_crew_keys_test {

using namespace ampturn::plan;
using namespace ampturn::plan::file;
using ampturn::test::problems_of;
using testing::HasSubstr;

std::string with(const std::string& more) {
    return ampturn::test::read_whole_file(ampturn::test::source_path("demo/quick.toml")) + more;
}

const std::string crews =
    "\n[[receiver_crew]]\nname = \"Juniper\"\nsensor_sets = 2\n"
    "\n[[receiver_crew]]\nname = \"Sorrel\"\npeople = 3\nset_up_min = 20\npack_up_min = 6\n";

TEST(ReceiverCrewKeys, StationsBelongToTheFirstCrewUnlessTheySay) {
    const Plan plan = parse_plan(with(crews), "plan.toml", {{"station[2].crew", "\"Sorrel\""}});
    ASSERT_EQ(plan.receiver_crews.size(), 2u);
    EXPECT_EQ(plan.receiver_crews[0].sensor_sets, 2);
    EXPECT_EQ(plan.receiver_crews[1].sensor_sets, 1) << "definition: the default";
    EXPECT_EQ(plan.stations[0].crew_index, 0) << "definition: the default";
    EXPECT_EQ(plan.stations[1].crew_index, 1);
}

TEST(ReceiverCrewKeys, AreWrittenAsTheyAreRead) {
    const Plan plan = parse_plan(with(crews), "plan.toml", {{"station[2].crew", "\"Sorrel\""}});
    const Plan again = parse_plan(write_plan(plan), "again.toml");
    EXPECT_EQ(again.receiver_crews[1].people, plan.receiver_crews[1].people) << "identity: written and read";
    EXPECT_EQ(again.receiver_crews[1].set_up_min, plan.receiver_crews[1].set_up_min);
    EXPECT_EQ(again.receiver_crews[1].pack_up_min, plan.receiver_crews[1].pack_up_min);
    EXPECT_EQ(again.receiver_crews[0].sensor_sets, 2);
    EXPECT_EQ(again.stations[1].crew_index, 1);
}

TEST(ReceiverCrewKeys, ACrewWithoutAStationIsRemarkedOn) {
    std::string all;
    for (const Remark& remark : plan_remarks(parse_plan(with(crews), "plan.toml")))
        all += remark.key + ": " + remark.text + '\n';
    EXPECT_THAT(all, HasSubstr("receiver_crew[2].name: \"Sorrel\" sets up no station and stays at the base"));
    EXPECT_THAT(all, testing::Not(HasSubstr("receiver_crew[1]")));
}

TEST(ReceiverCrewKeys, WaysWithoutALegAreThoseOfEachCrew) {
    const auto told = [](const Plan& plan) {
        int count = 0;
        for (const Remark& remark : plan_remarks(plan)) count += remark.key == "day.walking_speed_km_h";
        return count;
    };
    EXPECT_EQ(told(parse_plan(with(crews), "plan.toml")), 1)
        << "definition: Juniper walks from one to the other";
    EXPECT_EQ(told(parse_plan(with(crews), "plan.toml", {{"station[2].crew", "\"Sorrel\""}})), 0)
        << "definition: no crew walks between the two";
}

TEST(ReceiverCrewKeys, WrongOnesAreRefusedInOneLine) {
    struct Row {
        std::string more;
        std::vector<Setting> settings;
        const char *key, *found, *allowed;
    };
    const std::vector<Row> rows{
        {crews,
         {{"station[1].crew", "\"Junper\""}},
         "station[1].crew",
         "\"Junper\"",
         "for example \"Juniper\""},
        {"", {{"station[1].crew", "\"Juniper\""}}, "station[1].crew", "\"Juniper\"", "the plan has none"},
        {crews + "\n[[receiver_crew]]\nname = \"Juniper\"\n",
         {},
         "receiver_crew[3].name",
         "\"Juniper\" again",
         "each name once"},
        {"\n[[receiver_crew]]\nname = \"\"\n", {}, "receiver_crew[1].name", "\"\"", "a name"},
        {"\n[[receiver_crew]]\nname = \"J\"\nsensor_sets = 0\n",
         {},
         "receiver_crew[1].sensor_sets",
         "0",
         "1"},
        {"\n[[receiver_crew]]\nsensor_sets = 1\n", {}, "receiver_crew[1].name", "nothing", ""},
        {"\n[[receiver_crew]]\nname = \"J\"\nmasts = 1\n", {}, "receiver_crew[1].masts", "", "sensor_sets"},
    };
    for (const Row& row : rows) {
        const auto problems = problems_of(with(row.more), row.settings);
        ASSERT_EQ(problems.size(), 1u) << row.key;
        EXPECT_EQ(problems[0].key, row.key);
        EXPECT_THAT(problems[0].found, HasSubstr(row.found)) << row.key;
        EXPECT_THAT(problems[0].allowed, HasSubstr(row.allowed)) << row.key;
    }
}

}  // namespace receiver_crew_keys_test
