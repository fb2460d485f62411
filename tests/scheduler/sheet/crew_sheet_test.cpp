#include "scheduler/sheet/crew_sheet.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "scheduler/day/day.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/sheet/field_sheet.hpp"
#include "tests/paths.hpp"

namespace crew_sheet_test {

using namespace ampturn;
using testing::HasSubstr;
using testing::Not;

TEST(CrewSheet, HasAPageForEachCrewWithItsStationsOnly) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/two_crews.toml"));
    const day::DayResult day = day::simulate_day(plan);
    const std::string pages = sheet::crew_pages(plan, day);
    const auto sorrel = pages.find("receiver crew Sorrel</h1>");
    ASSERT_NE(sorrel, std::string::npos);
    const std::string first = pages.substr(0, sorrel), second = pages.substr(sorrel);
    EXPECT_THAT(first, HasSubstr("receiver crew Juniper</h1>"));
    EXPECT_THAT(first, HasSubstr("sensors laid out at P1 by Juniper"));
    EXPECT_THAT(first, Not(HasSubstr("sensors laid out at P2")));
    EXPECT_THAT(first, HasSubstr("sweep 1 to P1, P2, P3"));
    EXPECT_THAT(second, HasSubstr("sensors laid out at P2 by Sorrel"));
    EXPECT_THAT(second, HasSubstr("sweep 2 to P4, P5, P6"));
    EXPECT_THAT(second, Not(HasSubstr("sensors laid out at P1")));
    EXPECT_THAT(second, HasSubstr(day.table_crc32));
    EXPECT_THAT(sheet::field_sheet_html(plan, day), HasSubstr(pages));
}

TEST(CrewSheet, OneCrewNeedsNone) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/quick.toml"));
    EXPECT_EQ(sheet::crew_pages(plan, day::simulate_day(plan)), "");
}

}  // namespace crew_sheet_test
