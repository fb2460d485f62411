#include "scheduler/day/sweep_stop.hpp"

#include <gtest/gtest.h>

#include "scheduler/day/sent_whole.hpp"

namespace {

using namespace ampturn;
using namespace ampturn::day;

struct Row {
    SweepStop stop;
    bool want_of_battery;
    const char* text;
};

TEST(SweepStop, SaysWhatItIsAndWhetherABatteryWouldHaveHelped) {
    const Row rows[] = {
        {BatterySpent{}, true, "battery spent"},
        {Tripped{core::Trip::under_voltage}, true, "under_voltage"},
        {Tripped{core::Trip::open_loop}, false, "open_loop"},
        {NoBatteryLeft{}, true, "no charged battery left"},
        {NoTimeLeft{17 * 3600.0}, false, "no time left: would not be back by 17:00"},
        {WouldNotArm{}, false, "the unit would not arm"},
    };
    for (const Row& row : rows) {
        EXPECT_EQ(text_of(row.stop), row.text);
        EXPECT_EQ(for_want_of_battery(row.stop), row.want_of_battery) << row.text;
    }
}

SweepOutcome attempt(int sweep_number, std::optional<SweepStop> stop) {
    return {.station_index = 0,
            .site_index = 0,
            .sweep_number = sweep_number,
            .start_s = 0,
            .end_s = 0,
            .complete = !stop,
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

}  // namespace
