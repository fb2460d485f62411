#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "scheduler/day/day.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/day_json.hpp"
#include "scheduler/report/day_tables.hpp"
#include "scheduler/report/day_text.hpp"
#include "scheduler/report/report.hpp"
#include "tests/paths.hpp"

namespace receiver_crews_output_test {

using namespace ampturn;
using testing::HasSubstr;
using testing::Not;

const day::DayResult& two_crews() {
    static const day::DayResult day =
        day::simulate_day(plan::file::load_plan(test::source_path("demo/two_crews.toml")));
    return day;
}

std::string table(const day::DayResult& day, const std::string& name) {
    for (const base::NamedText& table : report::day_tables(day))
        if (table.name == name) return table.text;
    return {};
}

// Definition of the groups: Juniper (two sets) has P1, P3, P4, P6, Sorrel (one) P2, P5; so P1, P3, P2 listen to two sweeps
// because P3 asks for two, then P4, P6, P5 because P5 does.

TEST(ReceiverCrewsOutput, SaysHowManySweepsAndHowManyListen) {
    const std::string text = report::day_text(two_crews(), {.colour = false});
    EXPECT_THAT(text, HasSubstr("Stations listen together: 4 sweeps, each with 3 stations listening."));
    EXPECT_THAT(text, HasSubstr("Receiver crews\n"));
    EXPECT_THAT(text, HasSubstr("sweep 1 to P1, P2, P3"));
    EXPECT_THAT(text, HasSubstr("receiver crew Juniper: base to P1"));
    EXPECT_THAT(text, HasSubstr("sensors laid out at P2 by Sorrel"));
    EXPECT_THAT(report::day_summary(two_crews()),
                HasSubstr("listening  4 sweeps, each with 3 stations listening\n"));
    const std::string page = report::report_html(two_crews(), nullptr);
    EXPECT_THAT(page, HasSubstr("4 sweeps, each with 3 stations listening"));
    EXPECT_THAT(page, HasSubstr("sensors laid out at P2 by Sorrel"));
}

TEST(ReceiverCrewsOutput, TablesCountAnEnergyOnce) {
    const std::string sweeps = table(two_crews(), "sweeps.csv"),
                      listening = table(two_crews(), "listening.csv");
    EXPECT_EQ(std::count(sweeps.begin(), sweeps.end(), '\n'), 1 + 4) << "definition: a row a sweep";
    EXPECT_EQ(std::count(listening.begin(), listening.end(), '\n'), 1 + 4 * 3)
        << "definition: a row for each station that listens";
    EXPECT_THAT(listening, HasSubstr("sweep_row,station,crew,sweep_number,complete\n1,P1,Juniper,1,yes\n"));
    EXPECT_THAT(table(two_crews(), "receiver_crews.csv"), HasSubstr("Sorrel,3,1,"));
    EXPECT_THAT(table(two_crews(), "stations.csv"), HasSubstr(",crew\n"));
    double sum_wh = 0;
    for (const day::SweepOutcome& sweep : two_crews().sweeps) sum_wh += sweep.energy_wh;
    EXPECT_LE(sum_wh, two_crews().energy_wh)
        << "identity: the batteries gave what the sweeps took, and the waits between";
}

TEST(ReceiverCrewsOutput, JsonNamesAllThatListen) {
    const nlohmann::ordered_json json = report::day_json(two_crews());
    EXPECT_EQ(json["sweeps"][0]["station_index"], nullptr) << "definition: not one station's";
    EXPECT_EQ(json["sweeps"][0]["listening_station_indices"], (nlohmann::ordered_json{0, 1, 2}));
    EXPECT_EQ(json["receiver_crews"][1]["name"], "Sorrel");
    EXPECT_EQ(json["receiver_crews"][1]["people"], 3);
    EXPECT_EQ(json["sweeps_heard"][0]["sweep_count"], 4);
    EXPECT_EQ(json["sweeps_heard"][0]["station_count"], 3);
    EXPECT_EQ(json["stations"][1]["crew_index"], 1);
}

TEST(ReceiverCrewsOutput, APlanWithoutCrewsHasNothingOfIt) {
    const day::DayResult day = day::simulate_day(plan::file::load_plan(test::source_path("demo/quick.toml")));
    const std::string json = report::day_json_text(day), text = report::day_text(day, {.colour = false});
    for (const char* word : {"receiver_crews", "sweeps_heard", "crew_index", "listening", "crew_order"})
        EXPECT_THAT(json, Not(HasSubstr(word)));
    EXPECT_THAT(text, Not(HasSubstr("Stations listen together")));
    EXPECT_THAT(text, Not(HasSubstr("Receiver crews")));
    EXPECT_TRUE(table(day, "listening.csv").empty());
    EXPECT_THAT(table(day, "timeline.csv"), HasSubstr("station,text\n"));
}

}  // namespace receiver_crews_output_test
