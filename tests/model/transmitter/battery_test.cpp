#include "model/transmitter/battery.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace ampturn::model;

constexpr KineticWells wells_100{100, 0.3, 0.6};

TEST(Battery, KineticLimitsOfHighAndLowRate) {
    // Closed forms: at a very high rate only the available well, at a very low one all but I (1-c)/(k c).
    const BatteryCharge full = charge_at_soc(wells_100, 1);
    const double fast_a = 1e5;
    EXPECT_NEAR(fast_a * *time_to_empty_s(wells_100, full, fast_a) / 3600, 30, 0.02);
    const double slow_a = 0.5;
    EXPECT_NEAR(slow_a * *time_to_empty_s(wells_100, full, slow_a) / 3600, 100 - slow_a * 0.7 / (0.6 * 0.3),
                1e-6);
}

TEST(Battery, PeukertAgreesWithTheKineticModelWhereBothAreMeantTo) {
    // Independent: two unlike models of one battery.
    // Peukert through two points of the kinetic model must give the third between them: the two describe the
    // same rate dependence over a decade of current (Manwell & McGowan 1993 fit their model to such points).
    const BatteryCharge full = charge_at_soc(wells_100, 1);
    const auto hours = [&](double a) { return *time_to_empty_s(wells_100, full, a) / 3600; };
    const double low = 8, high = 20;
    const double exponent = std::log(hours(low) / hours(high)) / std::log(high / low);
    const double rated_h = hours(low);
    const double capacity = low * rated_h;
    EXPECT_GT(exponent, 1.0);
    EXPECT_LT(exponent, 1.6);
    EXPECT_NEAR(peukert_time_h(capacity, rated_h, low, exponent), hours(low), 1e-12 * hours(low));
    EXPECT_NEAR(peukert_time_h(capacity, rated_h, high, exponent), hours(high), 1e-9 * hours(high));
    EXPECT_NEAR(peukert_time_h(capacity, rated_h, 12, exponent), hours(12), 0.02 * hours(12));
    // Exponent 1 is an ideal battery: both give the same hours when nothing is bound.
    const KineticWells ideal{100, 0.999999, 1e3};
    EXPECT_NEAR(*time_to_empty_s(ideal, charge_at_soc(ideal, 1), 10) / 3600, peukert_time_h(100, 20, 10, 1),
                1e-3);
}

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
    EXPECT_EQ(s.max_power_w(), 1440);
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

TEST(Battery, RunsEndForTheRightReason) {
    BatteryBank bank{typical_block(Chemistry::lifepo4, 25.6, 20), 1, 1};
    const KineticWells w = wells(bank, 20);
    const auto run = [&](double soc, BatteryLoad load) {
        return run_battery(bank, 20, charge_at_soc(w, soc), load, 1e6);
    };
    bank.block.cutoff_v_per_cell = 3.2;
    EXPECT_EQ(run(1, {5.0, std::nullopt}).cutoff, CutoffReason::voltage);
    EXPECT_EQ(run(1, {std::nullopt, 100.0}).cutoff, CutoffReason::voltage);
    EXPECT_EQ(run(1, {std::nullopt, 1e6}).cutoff, CutoffReason::power);
    bank.block.cutoff_v_per_cell = 0.1;
    EXPECT_EQ(run(1, {5.0, std::nullopt}).cutoff, CutoffReason::empty);
    EXPECT_EQ(run(1, {0.0, std::nullopt}).elapsed_s, 1e6);
}

}  // namespace
