#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "tests/paths.hpp"

namespace plausibility_remarks_test {

using namespace ampturn;

/// What is remarked on that key, empty when nothing is.
std::string remarked(const std::string& key, const std::vector<plan::file::Setting>& settings) {
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
    std::string text;
    for (const plan::Remark& remark : plan::plan_remarks(plan))
        if (remark.key == key) text += remark.text + "\n";
    return text;
}

// Common practice, no source: the volts of a cell.
TEST(PlausibilityRemarks, ACutOffThatFitsOtherCells) {
    const std::string key = "battery.cut_off_v";
    EXPECT_EQ(remarked(key, {}), "");
    EXPECT_EQ(remarked(key, {{key, "20"}}), "") << "definition: 8 cells of 2.5 V";
    EXPECT_NE(remarked(key, {{key, "17"}}).find("2.12 V in each of 8 cells"), std::string::npos);
    EXPECT_NE(remarked(key, {{key, "26"}}), "");
    const std::vector<plan::file::Setting> lead{{"battery.chemistry", "agm"}, {"battery.cells_series", "6"}};
    EXPECT_NE(remarked(key, {lead[0], lead[1], {key, "24"}}), "");
    EXPECT_EQ(remarked(key, {lead[0], lead[1], {key, "21"}}), "") << "definition: 12 cells of 1.75 V";
}

// Definition: 8 cells in all, empty at 20 V, full at 8 times 3.65 V.
TEST(PlausibilityRemarks, ABusBetweenTheVoltsOfTheBattery) {
    const std::string key = "driver.bus_v";
    const auto with_bus = [&](const char* volts) {
        return remarked(key, {{"driver.supply", "dc_dc"}, {key, volts}, {"battery.cut_off_v", "20"}});
    };
    EXPECT_EQ(remarked(key, {}), "");
    EXPECT_EQ(with_bus("19"), "");
    EXPECT_NE(with_bus("24").find("24 V lie between the set's 20 V at cut-off and 29.2 V when full"),
              std::string::npos);
    EXPECT_EQ(with_bus("30"), "");
}

TEST(PlausibilityRemarks, FrequenciesThatAreTheSameToTheReceiver) {
    const std::string list = "sweep.frequencies_hz", third = "sweep.frequencies_hz[3]";
    EXPECT_EQ(remarked(third, {}), "");
    EXPECT_EQ(remarked(third, {{list, "[975, 2825, 2825]"}}), "2825 Hz is sent again with the same loop\n");
    EXPECT_NE(remarked(third, {{list, "[975, 2825, 2825.5]"}}).find("nearer than a bin of 1 Hz"),
              std::string::npos);
    EXPECT_EQ(remarked(third, {{list, "[975, 2825, 2826]"}}).find("bin"), std::string::npos);
}

}  // namespace plausibility_remarks_test
