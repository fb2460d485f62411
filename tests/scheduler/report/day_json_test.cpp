#include "scheduler/report/day_json.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/scheduler/report/synthetic_day.hpp"

namespace ampturn::report {
namespace day_json_test {

TEST(DayJson, HoldsTheWholeDayInOrder) {
    // Identity: the file holds the result's numbers.
    const day::DayResult day = synthetic_day();
    const auto json = nlohmann::ordered_json::parse(day_json_text(day));
    EXPECT_EQ(json.at("schema"), "ampturn.day");
    EXPECT_EQ(json.begin().key(), "schema");
    EXPECT_EQ(json.at("stations").size(), day.stations.size());
    EXPECT_EQ(json.at("judged").size(), day.readings.size());
    EXPECT_EQ(json.at("sweeps").size(), day.sweeps.size());
    EXPECT_EQ(json.at("sweeps").at(2).at("steps").size(), day.sweeps[2].steps.size());
    EXPECT_EQ(json.at("battery_trace").size(), day.battery_trace.size());
    EXPECT_EQ(json.at("stations").at(3).at("name"), "S4 & \"brook\"");
    EXPECT_EQ(json.at("judged").at(0).at("verdict"), "usable");
    EXPECT_NEAR(json.at("energy_wh").get<double>(), day.energy_wh, 1e-8 * day.energy_wh);
}

TEST(DayJson, WritesNullForWhatIsNoNumber) {
    const day::DayResult day = synthetic_day();
    const std::string text = day_json_text(day);
    EXPECT_EQ(text.find("nan"), std::string::npos);
    EXPECT_EQ(text.find("NaN"), std::string::npos);
    const auto json = nlohmann::ordered_json::parse(text);
    EXPECT_TRUE(json.at("sites").at(1).at("latitude_deg").is_null());
    EXPECT_TRUE(json.at("judged").back().at("bias_xy_percent").is_null());
    EXPECT_TRUE(json.at("batteries").at(0).at("cut_off_s").is_null());
}

TEST(DayJson, RoundsAwayTheLastBits) {
    day::DayResult day = synthetic_day();
    day.energy_wh = 0.1 + 0.2;
    const std::string a = day_json_text(day);
    day.energy_wh = 0.3;
    EXPECT_EQ(a, day_json_text(day));
    day.energy_wh = -0.0;
    EXPECT_NE(day_json_text(day).find("\"energy_wh\": 0.0"), std::string::npos);
}

TEST(DayJson, SurvivesTextThatIsNotUtf8) {
    day::DayResult day = synthetic_day();
    day.survey_note = "broken \xff byte";
    EXPECT_EQ(nlohmann::json::parse(day_json_text(day)).at("survey_note"), "broken \xef\xbf\xbd byte");
}

}  // namespace day_json_test
}  // namespace ampturn::report
