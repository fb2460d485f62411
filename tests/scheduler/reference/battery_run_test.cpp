#include "scheduler/reference/battery_run.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace battery_run_test {

using namespace ampturn::model::transmitter;
using namespace ampturn::reference;

constexpr KineticWells wells_100{100, 0.3, 0.6};

TEST(BatteryRun, KineticLimitsOfHighAndLowRate) {
    // Closed forms: at a very high rate only the available well, at a very low one all but I (1-c)/(k c).
    const BatteryCharge full = charge_at_soc(wells_100, 1);
    const double fast_a = 1e5;
    EXPECT_NEAR(fast_a * *time_to_empty_s(wells_100, full, fast_a) / 3600, 30, 0.02);
    const double slow_a = 0.5;
    EXPECT_NEAR(slow_a * *time_to_empty_s(wells_100, full, slow_a) / 3600, 100 - slow_a * 0.7 / (0.6 * 0.3),
                1e-6);
}

TEST(BatteryRun, PeukertAgreesWithTheKineticModelWhereBothAreMeantTo) {
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

TEST(BatteryRun, RunsEndForTheRightReason) {
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

}  // namespace battery_run_test
