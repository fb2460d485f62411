#include "model/transmitter/battery.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace ampturn::model::transmitter;

constexpr KineticWells wells_100{100, 0.3, 0.6};

TEST(Battery, ChargeIsConservedAndRestRecovers) {
    BatteryCharge q = charge_at_soc(wells_100, 1);
    q = after_constant_current(wells_100, q, 40, 1800);
    EXPECT_NEAR(q.available_ah + q.bound_ah, 80, 1e-12);
    const BatteryCharge rested = after_constant_current(wells_100, q, 0, 7200);
    EXPECT_NEAR(rested.available_ah + rested.bound_ah, 80, 1e-12);
    EXPECT_GT(rested.available_ah, q.available_ah);
    // In two steps as in one (the closed form is exact).
    BatteryCharge two = after_constant_current(wells_100, charge_at_soc(wells_100, 1), 40, 700);
    two = after_constant_current(wells_100, two, 40, 1100);
    EXPECT_NEAR(two.available_ah, q.available_ah, 1e-12);
}

TEST(Battery, ConstantPowerAndItsLimit) {
    // Definition of constant power; closed form: the most a source gives is E^2 / 4R = 1440 W.
    const BatterySource s{24, 0.1, 21};
    const auto i = constant_power_current_a(s, 500);
    ASSERT_TRUE(i);
    EXPECT_NEAR((s.ocv_v - s.resistance_ohm * *i) * *i, 500, 1e-10);
    EXPECT_TRUE(constant_power_current_a(s, 1440));
    EXPECT_FALSE(constant_power_current_a(s, 1440.001));
}

TEST(Battery, SeriesAndParallelStrings) {
    // Closed form: Kirchhoff's rules.
    BatteryBank one{typical_block(Chemistry::lead_agm, 12, 40), 1, 1};
    BatteryBank many = one;
    many.series = 2;
    many.parallel = 3;
    const BatterySource a = battery_source(one, 0.7, 25), b = battery_source(many, 0.7, 25);
    EXPECT_NEAR(b.ocv_v, 2 * a.ocv_v, 1e-12);
    EXPECT_NEAR(b.resistance_ohm, a.resistance_ohm * 2 / 3, 1e-15);
    EXPECT_NEAR(wells(many, 25).capacity_ah, 120, 1e-12);
}

TEST(Battery, AgeAndColdTakeCapacityAndAddResistance) {
    // Published factor (IEEE 485), and the definition of the aged capacity.
    BatteryBank bank{typical_block(Chemistry::lead_agm, 12, 40), 1, 1};
    EXPECT_NEAR(wells(bank, 0).capacity_ah, 40 / 1.39857142857, 1e-6)
        << "IEEE 485 Table 1 at 0 C, id battery-o009";
    bank.block.age_capacity_fraction = 0.8;
    EXPECT_NEAR(wells(bank, 25).capacity_ah, 32, 1e-12);
    EXPECT_GT(battery_source(bank, 0.5, -10).resistance_ohm, battery_source(bank, 0.5, 25).resistance_ohm);
    EXPECT_FALSE(ieee485_factor(-10).inside);
    EXPECT_TRUE(ieee485_factor(25).inside);
}

}  // namespace
