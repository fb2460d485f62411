#include "scheduler/reach/reach_remarks.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "scheduler/day/day.hpp"
#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace ampturn::reach {
namespace reach_remarks_test {

plan::Plan quick_plan(const std::vector<plan::file::Setting>& settings) {
    return plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

// Identity: the remark is made where the day's own verdicts have not one usable reading, and nowhere else.
TEST(ReachRemarks, SpeaksWhereTheDayHasNothingUsable) {
    int spoken = 0;
    for (const char* factor : {"0.5", "1", "10", "100"}) {
        const plan::Plan plan = quick_plan({{"noise.natural_factor", factor}});
        const bool remark = !reach_remarks(plan, setup::survey_setup_of(plan)).empty();
        EXPECT_EQ(remark, day::simulate_day(plan).passed_count == 0) << factor;
        spoken += remark;
    }
    EXPECT_GT(spoken, 0);
    EXPECT_LT(spoken, 4);
}

TEST(ReachRemarks, SaysWhatIsMissing) {
    // Definition: a field a hundred times the usual one, under which nothing stands out.
    const plan::Plan plan = quick_plan({{"noise.natural_factor", "100"}, {"sweep.current_a_peak", "1"}});
    const auto remarks = reach_remarks(plan, setup::survey_setup_of(plan));
    ASSERT_EQ(remarks.size(), 1u);
    EXPECT_THAT(remarks[0].text, testing::HasSubstr("0 have signal enough"));
    EXPECT_THAT(remarks[0].text, testing::HasSubstr("ampturn reach"));
}

}  // namespace reach_remarks_test
}  // namespace ampturn::reach
