#include "scheduler/new_plan/plan_text.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>
#include <string>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/placement_rules.hpp"

namespace plan_text_test {

using namespace ampturn;
using new_plan::GivenAnswers;
using testing::HasSubstr;

TEST(NewPlan, DefaultsMakeAPlanThatSaysSo) {
    const std::string text = new_plan::plan_text(GivenAnswers());
    const plan::Plan plan = plan::file::parse_plan(text, "new.toml");
    EXPECT_THAT(plan.survey.notes, HasSubstr("made by answers"));
    EXPECT_THAT(text, HasSubstr("dwell_s = 20  # default: dwell_s not answered"));
    for (const auto& verdict : plan::judge_placement_of(plan)) EXPECT_TRUE(verdict.clean());
}

TEST(NewPlan, RandomAnswersMakePlansThatLoadAndAreSetUp) {
    std::mt19937 random(20261128);  // its own numbers are the same in every library
    const auto upto = [&](unsigned n) { return static_cast<int>(random() % n); };
    int made = 0;
    for (int i = 0; i < 60; ++i) {
        GivenAnswers answers;
        const auto give = [&](const char* question, const std::string& text) {
            if (upto(4) != 0) answers.give(question, text, "answer");
        };
        give("survey_name", "A \"survey\" \\ " + std::to_string(i));
        give("latitude_longitude_deg",
             std::to_string(upto(160) - 80) + ", " + std::to_string(upto(360) - 180));
        give("station_count", std::to_string(1 + upto(20)));
        give("station_spacing_m", std::to_string(1 + upto(800)));
        give("line_azimuth_deg", std::to_string(upto(720) - 360));
        give("first_offset_m", std::to_string(50 + upto(2000)));
        if (upto(2) != 0) {
            answers.give("resistivity_ohm_m", std::to_string(1 + upto(5000)) + ", 20", "answer");
            answers.give("thickness_m", std::to_string(1 + upto(300)), "answer");
        }
        give("loop_side_m", std::to_string(1 + upto(50)));
        give("loop_turns", std::to_string(1 + upto(50)));
        give("current_a_peak", std::to_string(1 + upto(100)));
        const char* chemistries[] = {"agm", "lifepo4", "lead_acid_flooded"};
        give("battery_chemistry", chemistries[upto(3)]);
        give("battery_capacity_ah", std::to_string(1 + upto(1000)));
        give("battery_cells", std::to_string(4 + upto(37)));
        give("battery_sets", std::to_string(1 + upto(50)));
        give("frequency_low_hz", std::to_string(10 + upto(480)));
        give("frequency_high_hz", std::to_string(2000 + upto(48'001)));
        give("frequency_count", std::to_string(2 + upto(31)));
        give("dwell_s", std::to_string(2 + upto(599)));
        const char* mains[] = {"0", "50", "60", "16.7", "400"};
        give("mains_hz", mains[upto(5)]);
        give("dipole_m", std::to_string(1 + upto(999)));
        const std::string text = new_plan::plan_text(answers);  // loads and sets it up, or throws
        const plan::Plan plan = plan::file::parse_plan(text, "new.toml");
        EXPECT_FALSE(plan.sweep.steps.empty());
        EXPECT_EQ(new_plan::plan_text(answers), text) << "definition: same answers, same bytes";
        ++made;
    }
    EXPECT_EQ(made, 60);
}

TEST(NewPlan, BadAnswersNameTheirQuestion) {
    struct Row {
        const char *question, *text, *named, *allowed;
    };
    const Row rows[] = {{"station_count", "0", "station_count", "1 to 200"},
                        {"station_count", "many", "station_count", "1 to 200"},
                        {"dwell_s", "nan", "dwell_s", "2 to 600"},
                        {"date", "tomorrow", "date", "2030-05-17"},
                        {"battery_chemistry", "nuclear", "battery_chemistry", "lifepo4"},
                        {"latitude_longitude_deg", "95, 10", "latitude_longitude_deg", "latitude first"},
                        {"latitude_longitude_deg", "61", "latitude_longitude_deg", "2"},
                        {"thickness_m", "30", "thickness_m", "one fewer"},
                        {"resistivity_ohm_m", "100, 400", "thickness_m", "one fewer"},
                        {"loop_side_m", "50", "", ""},
                        {"first_offset_m", "5", "first_offset_m", "20 to 19000"},
                        {"station_spacing_m", "4999", "station_spacing_m", "within 19000 m"},
                        {"frequency_low_hz", "30000", "frequency_high_hz", "above frequency_low_hz"},
                        {"frequency_cuont", "3", "frequency_cuont", "frequency_count"}};
    for (const Row& row : rows) {
        GivenAnswers answers;
        answers.give(row.question, row.text, "--flag");
        const auto problems = answers.problems();
        if (*row.named == '\0') {
            EXPECT_TRUE(problems.empty());
            continue;
        }
        ASSERT_EQ(problems.size(), 1u) << row.question << " " << row.text;
        EXPECT_EQ(problems[0].key, row.named);
        EXPECT_THAT(problems[0].allowed, HasSubstr(row.allowed));
        EXPECT_THROW(new_plan::plan_text(answers), base::InputError);
    }
}

}  // namespace plan_text_test
