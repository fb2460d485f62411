#include "scheduler/sheet/field_sheet.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

namespace ampturn::sheet {
namespace field_sheet_test {

using testing::HasSubstr;
using testing::Not;

plan::Plan dated_plan() { return plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml")); }

TEST(FieldSheet, HoldsWhatTheCrewNeeds) {
    const std::string sheet = field_sheet_html(dated_plan(), synthetic_day());
    for (const char* words : {"site North", "South &lt;S&gt;", "INVENTED SCENARIO", "DEADBEEF",
                              "Keep everybody 4.3 m", "09:12:00", "08:12:00", "S4 &amp; &quot;brook&quot;",
                              "Remarks", "13.5 deg on the compass", "under_voltage", "rhombus, 11 m wide"})
        EXPECT_THAT(sheet, HasSubstr(words));
    EXPECT_THAT(sheet, Not(HasSubstr("<script")));
    EXPECT_THAT(sheet, Not(HasSubstr("http://")));
    EXPECT_EQ(sheet, field_sheet_html(dated_plan(), synthetic_day()));
}

// On top of every page, so that nobody drives out with a plan that stops half way.
TEST(FieldSheet, SaysOnEveryPageThatThePlanIsNotCarried) {
    day::DayResult day = synthetic_day();
    const auto count = [](const std::string& text, std::string_view words) {
        std::size_t found = 0;
        for (std::size_t at = text.find(words); at != std::string::npos; at = text.find(words, at + 1))
            ++found;
        return found;
    };
    day.completed = false;
    const std::string short_of = field_sheet_html(dated_plan(), day);
    EXPECT_EQ(count(short_of, "<section"), 4u) << "definition: two pages for each of two sites";
    EXPECT_EQ(count(short_of, "NOT CARRIED"), 4u);
    EXPECT_THAT(short_of, HasSubstr("The day is NOT carried"));
    day.completed = true;
    EXPECT_THAT(field_sheet_html(dated_plan(), day), Not(HasSubstr("NOT CARRIED")));
}

// Amperes and volts of each step are those of the sweeps at this site; what is not sent there has none.
TEST(FieldSheet, PlansAmperesAndVoltsOfEachStep) {
    day::DayResult day = synthetic_day();
    for (day::SweepOutcome& sweep : day.sweeps)
        for (day::StepOutcome& step : sweep.steps)
            if (step.step_number == 1 && step.dwell_s > 0) {
                step.current_a_peak = sweep.site_index == 0 ? 7.31 : 6.54;
                step.battery_lowest_v = sweep.site_index == 0 ? 23.47 : 22.18;
            }
    const std::string sheet = field_sheet_html(dated_plan(), day);
    const std::size_t south = sheet.find("site South &lt;S&gt;, steps");
    ASSERT_NE(south, std::string::npos);
    const std::string of_north = sheet.substr(sheet.find("site North, steps"), south),
                      of_south = sheet.substr(south);
    EXPECT_THAT(of_north, HasSubstr("<td class=\"n\">7.31</td><td class=\"n\">23.5</td><td>____</td>"));
    EXPECT_THAT(of_south, HasSubstr("<td class=\"n\">6.54</td><td class=\"n\">22.2</td><td>____</td>"));
    for (day::SweepOutcome& sweep : day.sweeps) sweep.steps.clear();
    EXPECT_THAT(field_sheet_html(dated_plan(), day),
                HasSubstr("<td class=\"n\">-</td><td class=\"n\">-</td><td>____</td>"));
}

/// Rules of RFC 5545: CRLF, lines of at most 75 octets, required properties, UTC times, escapes.
TEST(Calendar, FollowsTheStandard) {
    day::DayResult day = synthetic_day();
    day.survey_name =
        "H\u00f6he; a, b \\ c and a name long enough that its line must be folded "
        "somewhere near here \u00e4\u00f6\u00fc";
    const std::string text = calendar_text(dated_plan(), day);
    std::istringstream in(text);
    int begins = 0, uids = 0, stamps = 0;
    for (std::string line; std::getline(in, line);) {
        ASSERT_TRUE(line.ends_with('\r'));
        line.pop_back();
        EXPECT_LE(line.size(), 75u) << line;
        if (!line.empty()) {
            EXPECT_NE(static_cast<unsigned char>(line[0]) & 0xC0, 0x80) << "a character cut in two";
        }
        begins += line == "BEGIN:VEVENT";
        uids += line.starts_with("UID:");
        stamps += line.starts_with("DTSTAMP:");
    }
    EXPECT_EQ(begins, static_cast<int>(day.timeline.size()));
    EXPECT_EQ(uids, begins);
    EXPECT_EQ(stamps, begins);
    EXPECT_TRUE(text.starts_with("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:"));
    EXPECT_TRUE(text.ends_with("END:VCALENDAR\r\n"));
    EXPECT_THAT(text, HasSubstr("DTSTART:20310312T063000Z"));  // 07:30 local, one hour east
    EXPECT_THAT(text, HasSubstr("H\u00f6he\\; a\\, b \\\\ c"));
}

TEST(Calendar, NeedsADate) {
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"));
    EXPECT_THROW((void)calendar_text(plan, synthetic_day()), base::InputError);
}

}  // namespace field_sheet_test
}  // namespace ampturn::sheet
