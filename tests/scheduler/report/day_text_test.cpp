#include "scheduler/report/day_text.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <regex>
#include <sstream>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

namespace ampturn::report {
namespace day_text_test {

using testing::HasSubstr;
using testing::Not;

void expect_no_line_wider(const std::string& text, std::size_t width) {
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) EXPECT_LE(base::text_width(line), width) << line;
}

TEST(DayText, FitsAHundredColumns) {
    day::DayResult day = synthetic_day();
    expect_no_line_wider(day_text(day), 100);
    expect_no_line_wider(day_summary(day), 100);
    day.survey_note.assign(70, 'n');
    day.plan_path =
        "/a/very/long/path/that/somebody/has/to/live/with/because/of/the/folders/of/the/office/plan.toml";
    // A finding that needs three lines.
    day.findings[0] = day::FrequenciesLost{day::FrequenciesLost::Why::too_weak,
                                           std::vector<double>(30, day.frequencies_hz.front())};
    expect_no_line_wider(day_text(day), 100);
    expect_no_line_wider(day_summary(day), 100);
}

TEST(DayText, ManyFrequenciesGoIntoSeveralBlocks) {
    day::DayResult day = synthetic_day();
    for (int i = 0; i < 30; ++i) day.frequencies_hz.push_back(300 - i);
    const std::string matrix = verdict_matrix_text(day);
    expect_no_line_wider(matrix, 100);
    EXPECT_THAT(matrix, HasSubstr("271"));  // the last one
}

TEST(DayText, SaysWhatTheDayHolds) {
    const day::DayResult day = synthetic_day();
    const std::string text = day_text(day);
    for (const char* words :
         {"INVENTED SCENARIO", "Made-up valley", "under_voltage", "battery set 2 joined", "14:12:00",
          "Carried: 2. Needed: 3.", "keep people 4.3 m away", "near field: apparent resistivity far off",
          "in the guard band of mains harmonic 41: move it"})
        // The reader's eye ignores line breaks inside a sentence; so does this test.
        EXPECT_THAT(base::wrapped(text, 1'000'000, 0), HasSubstr(words));
    EXPECT_THAT(text, Not(HasSubstr("\x1b")));
    EXPECT_THAT(text, Not(HasSubstr("nan")));
}

TEST(DayText, SaysWhichFieldDecidesEachDistance) {
    using enum setup::ExposureField;
    day::DayResult day = synthetic_day();
    const auto said = [&] {
        std::string text = day_text(day);
        std::replace(text.begin(), text.end(), '\n', ' ');
        return std::regex_replace(text, std::regex(" +"), " ");
    };
    for (day::SiteSummary& site : day.sites) site.public_decided_by = site.occupational_decided_by = electric;
    EXPECT_THAT(said(), HasSubstr("the electric field decides both"));
    for (day::SiteSummary& site : day.sites) site.occupational_decided_by = magnetic;
    EXPECT_THAT(said(), HasSubstr("the electric field decides the first, the magnetic field the second"));
}

TEST(DayText, ColourOnlyWhenAskedForAndAddsNoText) {
    const day::DayResult day = synthetic_day();
    std::string coloured = day_text(day, {.colour = true});
    EXPECT_THAT(coloured, HasSubstr("\x1b[32m"));
    std::string bare;
    for (std::size_t i = 0; i < coloured.size(); ++i) {
        if (coloured[i] == '\x1b')
            i = coloured.find('m', i);
        else
            bare += coloured[i];
    }
    EXPECT_EQ(bare, day_text(day));
}

TEST(DayText, SummaryIsShort) {
    const std::string summary = day_summary(synthetic_day());
    EXPECT_LE(std::count(summary.begin(), summary.end(), '\n'), 12);
    EXPECT_THAT(summary, HasSubstr("NOT completed"));
    EXPECT_THAT(summary, HasSubstr("9 sent whole, 1 broken off, 0 never sent"));
    EXPECT_THAT(summary, HasSubstr("3 batteries (planned: 2)"));
}

TEST(NumberText, SaysNumbersAsPeopleReadThem) {
    EXPECT_EQ(base::significant(12345.678, 3), "12300");
    EXPECT_EQ(base::significant(0.00012345, 3), "0.000123");
    EXPECT_EQ(base::significant(9.996, 3), "10.0");
    EXPECT_EQ(base::significant(-2.5, 2), "-2.5");
    EXPECT_EQ(base::significant(0, 3), "0");
    EXPECT_EQ(base::brief(5.0, 3), "5");
    EXPECT_EQ(base::brief(40000, 6), "40000");
    EXPECT_EQ(base::brief(0.250, 4), "0.25");
    EXPECT_EQ(base::decimals(-0.04, 1), "0.0");
    EXPECT_EQ(base::frequency_text(12288), "12.29 kHz");
    EXPECT_EQ(base::decibel_text(100), "20");
    EXPECT_EQ(base::decibel_text(0), "-");
    EXPECT_EQ(base::duration_text(750), "12 min 30 s");
    EXPECT_EQ(base::duration_text(11'100), "3 h 05 min");
    EXPECT_EQ(base::clock_text(29'000), "08:03:20");
    EXPECT_EQ(base::clock_text(86'400 + 600), "+1 d 00:10:00");
    EXPECT_EQ(base::clock_text(-60), "-1 d 23:59:00");
    EXPECT_EQ(base::clock_minutes_text(59.9 * 60), "00:59");
}

TEST(TextTable, PadsByCodePointsAndWrapsTheLastColumn) {
    base::TextTable table({{"name"}, {"m", base::CellSide::right}, {"remark"}});
    table.row({{"M\u00fcll"}, {"5"}, {"one two three four five six"}});
    table.row({{"x"}, {"12"}, {"short"}});
    EXPECT_EQ(table.text(24, 1, false),
              " name   m  remark\n"
              " M\u00fcll   5  one two three\n"
              "           four five six\n"
              " x     12  short\n");
    EXPECT_THROW(table.row({{"too few"}}), std::logic_error);
}

}  // namespace day_text_test
}  // namespace ampturn::report
