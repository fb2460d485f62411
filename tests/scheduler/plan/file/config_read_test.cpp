#include "scheduler/plan/tree/config_read.hpp"
#include "scheduler/base/number_text.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <string>
#include <vector>

namespace config_read_test {

using namespace ampturn::base;
using namespace ampturn::plan::tree;

TEST(NearestName, FindsSlipsOfTheHandOnly) {
    const std::vector<std::string> names{"azimuth_deg", "tilt_deg", "turns", "taps"};
    EXPECT_EQ(nearest_name("azimut_deg", names), "azimuth_deg");
    EXPECT_EQ(nearest_name("tunrs", names), "turns");
    EXPECT_EQ(nearest_name("taps", names), "taps");
    EXPECT_EQ(nearest_name("colour", names), std::nullopt);
    EXPECT_EQ(nearest_name("", names), std::nullopt);
    EXPECT_EQ(nearest_name(std::string(1'000'000, 'a'), names), std::nullopt);
}

TEST(TimeOfDay, ReadsAndRefuses) {
    EXPECT_EQ(time_of_day_s("00:00"), 0.0);
    EXPECT_EQ(time_of_day_s("09:30"), 34'200.0);
    EXPECT_EQ(time_of_day_s("23:59:59"), 86'399.0);
    for (const char* wrong :
         {"", "9:30", "24:00", "09:60", "09:30:60", "-9:30", "09-30", "09:3x", "09:30:1", "+9:30"})
        EXPECT_EQ(time_of_day_s(wrong), std::nullopt) << wrong;
}

TEST(NumberRange, SaysWhatItHolds) {
    const NumberRange range{.unit = "V", .min = 0, .max = 10, .min_excluded = true};
    EXPECT_FALSE(range.holds(0));
    EXPECT_TRUE(range.holds(10));
    EXPECT_FALSE(range.holds(std::nan("")));
    EXPECT_FALSE(range.holds(HUGE_VAL));
    EXPECT_EQ(range.text(), "above 0 to 10 V");
    EXPECT_EQ((NumberRange{.min = 1}).text(), "at least 1");
    EXPECT_FALSE(NumberRange{}.holds(HUGE_VAL));
}

TEST(TomlText, NumbersReadBackExactly) {
    for (const double value : {0.1, 1.0 / 3, 470e3, 2.2e-7, 1e-300, 24e6, -0.0, 5e-324})
        EXPECT_EQ(std::strtod(toml_number(value).c_str(), nullptr), value) << toml_number(value);
    EXPECT_EQ(toml_text("a\"b\\c\n\x01"), "\"a\\\"b\\\\c\\n\\u0001\"");
    EXPECT_EQ(toml_time_of_day(34'200), "09:30:00");
    EXPECT_EQ(toml_time_of_day(0.25), "00:00:00.250");
}

}  // namespace config_read_test
