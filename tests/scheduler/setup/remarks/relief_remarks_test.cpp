#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/remarks/survey_remarks.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace ampturn::setup::remarks {
namespace relief_remarks_test {

using testing::HasSubstr;

/// Ground that rises by 5 % to the north, in cells of 10 m; a cell of it may be a hole.
std::string slope(int hole_row = -1) {
    std::string text = "ncols 50\nnrows 50\nxllcorner -100\nyllcorner -100\ncellsize 10\nNODATA_value -1\n";
    for (int row = 0; row < 50; ++row)
        for (int column = 0; column < 50; ++column)
            text += (row == hole_row ? "-1" : std::to_string(0.05 * (500 - 10 * row))) + "\n";
    return text;
}

/// What is remarked on the only site of quick.toml over uniform 100 ohm m, with that grid.
std::string remarked(const std::string& grid, std::vector<plan::file::Setting> settings = {}) {
    const test::ScratchDirectory folder;
    folder.write("heights.asc", grid);
    const std::string plan_path = folder.write(
        "plan.toml", test::read_whole_file(test::source_path("demo/quick.toml")) +
                         "\n[terrain]\nelevation_grid = \"heights.asc\"\n"
                         "\n[[ground]]\nname = \"clay\"\nresistivity_ohm_m = [10]\nthickness_m = []\n");
    settings.push_back({"earth.resistivity_ohm_m", "[100]"});
    settings.push_back({"earth.thickness_m", "[]"});
    const plan::Plan plan = plan::file::load_plan(plan_path, settings);
    for (const plan::Remark& remark : survey_remarks(plan, survey_setup_of(plan)))
        if (remark.key == "site[1]") return remark.text;
    return "";
}

// Closed form: 350 m at 40 degrees on that slope rise by 13.4 m, 120 m by 4.6 m; a quarter of the skin depth, 503 sqrt(rho/f), is
// 7.88 m at 25.478 kHz and 13.6 m at 8.53 kHz, over 10 ohm m 2.5 m and 4.3 m.
TEST(ReliefRemarks, AreOnHeightsAgainstOffsetAndSkinDepth) {
    EXPECT_THAT(
        remarked(slope()),
        HasSubstr("doubtful for 1 station, most for \"far\": heights on the straight line there differ by "
                  "13.4 m, at 1 of 4 frequencies more than 0.25 of the smaller of offset (350 m) and "
                  "skin depth (down to 31.5 m at 25.4"));
    EXPECT_EQ(remarked(slope(), {{"terrain.flat_relief_fraction", "0.45"}}), "");
    EXPECT_THAT(
        remarked(slope(), {{"station[1].ground", "\"clay\""}}),
        HasSubstr("doubtful for 2 stations, most for \"near\": heights on the straight line there differ by "
                  "4.6 m, at 2 of 4 frequencies"))
        << "the station's own ground";
    EXPECT_THAT(remarked(slope(20)), HasSubstr("of it have no height")) << "a hole on the way, said";
}

TEST(ReliefRemarks, NoneWithoutHeights) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/quick.toml"), {});
    for (const plan::Remark& remark : survey_remarks(plan, survey_setup_of(plan)))
        EXPECT_NE(remark.key, "site[1]");
}

}  // namespace relief_remarks_test
}  // namespace ampturn::setup::remarks
