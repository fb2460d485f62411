#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/report/day_json.hpp"
#include "scheduler/report/day_text.hpp"
#include "scheduler/report/outcome_text.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

namespace not_sent_test {

using namespace ampturn;
using namespace ampturn::report;
using testing::HasSubstr;

TEST(BatteryEnd, NoCutOffTimeBesideVoltsThatNeverReachedIt) {
    day::DayResult day = synthetic_day();
    day::BatteryUse use = day.batteries.front();
    use.reached_cut_off = true;
    use.cut_off_s = 36'123;
    use.lowest_v = day.battery_cut_off_v + 0.4;
    EXPECT_FALSE(at_cut_off(use, day));
    EXPECT_EQ(battery_end_text(use, day), "not reached; no charge left at 10:02:03") << "definition";
    day.batteries = {use};
    EXPECT_TRUE(day_json(day).at("batteries").at(0).at("cut_off_s").is_null());
    EXPECT_EQ(day_json(day).at("batteries").at(0).at("spent_s"), 36'123) << "definition: set above";
    use.lowest_v = day.battery_cut_off_v;
    EXPECT_EQ(battery_end_text(use, day), "reached at 10:02:03") << "definition";
}

// "One set does not carry one sweep" was said where the plan joins no second one.
TEST(BatteryEnd, NoSecondSetIsNoFaultOfTheSet) {
    day::DayResult day = synthetic_day();
    day.batteries_needed_suffice = false;
    day.batteries_needed = 1;
    EXPECT_THAT(batteries_needed_text(day), HasSubstr("no second set is joined"));
    day.batteries_needed = day::battery_sets_tried_most;
    EXPECT_THAT(batteries_needed_text(day), HasSubstr("one set does not carry one sweep"));
}

TEST(BatteryEnd, WhatWasNeverMeasuredIsNotTheLowest) {
    EXPECT_TRUE(lower(10, NAN));
    EXPECT_FALSE(lower(NAN, 10));
    EXPECT_FALSE(lower(NAN, NAN));
}

// Frequencies and sums below a million have no exponent.
TEST(DayText, NoExponentBelowAMillion) {
    day::DayResult day = synthetic_day();
    EXPECT_THAT(
        finding_text(day::FrequenciesLost{day::FrequenciesLost::Why::too_weak, {25'475, 640'000}}, day),
        HasSubstr("25480, 640000 Hz"))
        << "definition: four digits, written out";
    EXPECT_THAT(finding_text(day::MainsClash{.frequency_hz = 123'450, .order = 2469}, day),
                HasSubstr("123450 Hz"));
    day.readings.front().bias_xy_percent = 12'345;
    EXPECT_THAT(day_text(day, {}), HasSubstr("12000"));
    EXPECT_EQ(day_text(day, {}).find("e+04"), std::string::npos);
}

// What was not sent has no number.
TEST(DayJson, NothingSentIsNoNumber) {
    day::DayResult day = synthetic_day();
    day.readings.front().dwell_a_s = day.readings.front().moment_a_a_m2 = 0;
    const auto reading = day_json(day).at("judged").at(0);
    EXPECT_TRUE(reading.at("dwell_a_s").is_null());
    EXPECT_TRUE(reading.at("moment_a_a_m2_peak").is_null());
    EXPECT_FALSE(reading.at("dwell_b_s").is_null());
}

}  // namespace not_sent_test
