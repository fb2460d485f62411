#include "scheduler/report/field_sheet.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/compare.hpp"
#include "tests/paths.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

namespace ampturn::report {
namespace {

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

TEST(Compare, FindsWhatChangesAndNothingElse) {
    const day::DayResult a = synthetic_day();
    const Comparison same = compare_days(a, a);
    EXPECT_TRUE(same.changed.empty());
    for (const ComparedValue& v : same.values)
        EXPECT_TRUE(v.a == v.b || (std::isnan(v.a) && std::isnan(v.b))) << v.name;
    EXPECT_THAT(compare_text(same, false), HasSubstr("No verdict changes"));

    day::DayResult b = a;
    b.energy_wh *= 1.5;
    b.readings[0].verdict = reading::Verdict::noisy;                       // was usable
    b.readings[b.readings.size() - 1].verdict = reading::Verdict::usable;  // was not sent
    std::swap(b.stations[1].name, b.stations[2].name);
    b.stations.back().name = "elsewhere";
    const Comparison c = compare_days(a, b);
    EXPECT_THAT(c.only_in_a, testing::ElementsAre("station S12"));
    EXPECT_THAT(c.only_in_b, testing::ElementsAre("station elsewhere"));
    EXPECT_GE(c.worse, 1);
    EXPECT_THAT(compare_text(c, false), HasSubstr("+50 %"));
    EXPECT_THAT(compare_html(same), HasSubstr("No verdict changes"));
    EXPECT_THAT(compare_html(c), HasSubstr("<td class=\"n\">+50 %</td>"));
    EXPECT_THAT(compare_html(c), HasSubstr("Only in B: station elsewhere"));
    const auto json = nlohmann::json::parse(compare_json_text(c));
    EXPECT_EQ(json.at("changed").size(), c.changed.size());
}

}  // namespace
}  // namespace ampturn::report
