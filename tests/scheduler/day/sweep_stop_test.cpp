#include "scheduler/day/sweep_stop.hpp"

#include <gtest/gtest.h>

namespace sweep_stop_test {

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

}  // namespace sweep_stop_test
