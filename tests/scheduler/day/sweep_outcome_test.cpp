#include "scheduler/day/sweep_outcome.hpp"

#include <gtest/gtest.h>

#include <optional>

namespace sweep_outcome_test {

using namespace ampturn;
using namespace ampturn::day;

SweepOutcome attempt(int sweep_number, std::optional<SweepStop> stop) {
    return {.listeners = {0},
            .site_index = 0,
            .sweep_number = sweep_number,
            .start_s = 0,
            .end_s = 0,
            .stopped_by = stop,
            .energy_wh = 0,
            .steps = {}};
}

TEST(ShortOfBatteries, OnlyWhatWasNeverSentCounts) {
    // The unit's own under-voltage trip in the last sweep of the day: no later sweep says that a set lacks.
    EXPECT_TRUE(short_of_batteries({attempt(1, {}), attempt(2, Tripped{core::Trip::under_voltage})}));
    EXPECT_TRUE(short_of_batteries({attempt(1, BatterySpent{})}));
    EXPECT_FALSE(short_of_batteries({attempt(1, BatterySpent{}), attempt(1, {})}));
    EXPECT_FALSE(short_of_batteries({attempt(1, NoTimeLeft{17 * 3600.0}), attempt(2, WouldNotArm{})}));
    EXPECT_FALSE(short_of_batteries({}));
}

}  // namespace sweep_outcome_test
