#include "scheduler/setup/remarks/survey_remarks.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace survey_remarks_test {

using namespace ampturn;
using plan::file::Setting;

/// What is remarked on that key, empty when nothing is.
std::string remarked(const std::string& key, const std::vector<Setting>& settings,
                     const char* demo = "demo/quick.toml") {
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path(demo), settings);
    for (const plan::Remark& remark : setup::remarks::survey_remarks(plan, setup::survey_setup_of(plan)))
        if (remark.key == key) return remark.text;
    return "";
}

TEST(SurveyRemarks, AWireThatBiasesE) {
    EXPECT_EQ(remarked("receiver.wire_low_pass", {}), "") << "definition: the demo's electrodes are buffered";
    // Closed form: 3000 ohm and 20 pF/m of half of 40 m are a corner at 132.6 kHz; at 25.478 kHz -3.6 % and -10.9 deg.
    const std::string text = remarked(
        "receiver.wire_low_pass", {{"receiver.wire_low_pass", "as_recorded"}, {"receiver.dipole_m", "40"}});
    EXPECT_NE(text.find("132.6 kHz"), std::string::npos) << text;
    EXPECT_NE(text.find("-3.6 %"), std::string::npos) << text;
    EXPECT_NE(text.find("-11 deg"), std::string::npos) << text;
    EXPECT_EQ(remarked("receiver.wire_low_pass",
                       {{"receiver.wire_low_pass", "corrected"}, {"receiver.dipole_m", "40"}}),
              "");
}

TEST(SurveyRemarks, DipolesLongAgainstTheSkinDepth) {
    EXPECT_NE(remarked("receiver.dipole_m", {{"receiver.dipole_m", "60"}})
                  .find("half a skin depth at 2 frequencies"),
              std::string::npos);
    EXPECT_EQ(remarked("receiver.dipole_m", {{"receiver.dipole_m", "10"}}), "");
}

TEST(SurveyRemarks, ABatteryColderThanWhatIsKnown) {
    EXPECT_NE(remarked("day.temperature_c", {}, "demo/vesslarook.toml").find("continued below, to 54 %"),
              std::string::npos);
    const std::vector<Setting> cold{{"battery.temperature_c", "-25"}};
    EXPECT_NE(remarked("battery.temperature_c", cold).find("tabulated down to -20 C"), std::string::npos);
    EXPECT_EQ(remarked("battery.temperature_c", {{"battery.temperature_c", "5"}}), "");
}

TEST(SurveyRemarks, ACurrentThatOvershootsWhileItRises) {
    const char* survey = "demo/vesslarook.toml";
    EXPECT_EQ(remarked("sweep.ramp_cycles", {}, survey), "") << "definition: the demo's ramp is long enough";
    const std::string text = remarked("sweep.ramp_cycles", {{"sweep.ramp_cycles", "8"}}, survey);
    // Closed forms of the rise are tested with the model; here that all is said, and that the advice holds.
    EXPECT_NE(text.find("the unit trips at 18.8 A"), std::string::npos) << text;
    EXPECT_NE(text.find("V peak on a capacitor, above its rating"), std::string::npos) << text;
    const std::size_t with = text.find("With ");
    ASSERT_NE(with, std::string::npos) << text;
    const std::string cycles = std::to_string(std::stoi(text.substr(with + 5)));
    EXPECT_EQ(remarked("sweep.ramp_cycles", {{"sweep.ramp_cycles", cycles}}, survey), "");
    const std::string half = std::to_string(std::stoi(cycles) / 2);
    EXPECT_NE(remarked("sweep.ramp_cycles", {{"sweep.ramp_cycles", half}}, survey), "") << "law: the least";
}

TEST(SurveyRemarks, VoltsThatCanBeFelt) {
    EXPECT_EQ(remarked("battery.in_series", {}), "");
    EXPECT_NE(remarked("battery.in_series", {{"battery.in_series", "5"}, {"battery.cut_off_v", "55"}})
                  .find("68.4 V"),
              std::string::npos)
        << "definition: 20 cells of 3.42 V";
}

}  // namespace survey_remarks_test
