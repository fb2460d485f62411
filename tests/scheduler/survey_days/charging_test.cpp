#include "scheduler/survey_days/charging.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace ampturn::survey_days {
namespace charging_test {

constexpr plan::Chemistry chemistries[] = {plan::Chemistry::lead_acid_flooded, plan::Chemistry::agm,
                                           plan::Chemistry::lifepo4};

ChargedSet set_of(plan::Chemistry chemistry, double temperature_c = 25) {
    return {.full_ah = 40, .terminals_v = 28, .limits = charge_limits(chemistry, temperature_c)};
}

// Closed form: at constant power below the taper charge grows in proportion to time, s = s0 + eta P t / (V Q).
TEST(Charging, AtConstantPowerChargeGrowsInProportion) {
    for (const plan::Chemistry chemistry : chemistries) {
        const ChargedSet set = set_of(chemistry);
        const double eta = set.limits.coulombic_efficiency;
        const Charge c = after_charging(set, 0.2, 112, 3);
        EXPECT_NEAR(c.state_of_charge, 0.2 + eta * 112 * 3 / (28 * 40.0), 1e-12);
        EXPECT_NEAR(c.terminals_wh, 112 * 3, 1e-9) << "closed form: power times time";
    }
}

// Closed form: a strong charger is limited by the set's own current, rate_per_h, whatever it could give.
TEST(Charging, NeverFasterThanTheChemistryTakes) {
    for (const plan::Chemistry chemistry : chemistries) {
        const ChargedSet set = set_of(chemistry);
        const ChargeLimits& l = set.limits;
        const Charge c = after_charging(set, 0.1, 1e6, 0.5);
        EXPECT_NEAR(c.state_of_charge, 0.1 + 0.5 * l.rate_per_h * l.coulombic_efficiency, 1e-12);
        EXPECT_NEAR(taken_w(set, 0.1, 1e6), l.rate_per_h * 40 * 28, 1e-9);
        EXPECT_EQ(taken_w(set, 0.1, 5), 5);
        EXPECT_EQ(taken_w(set, 1, 1e6), 0) << "definition: a full set takes nothing";
    }
}

// Closed form: in the taper what is missing falls as exp(-eta rate t / (1 - taper_from)), then the tail is steady until full.
TEST(Charging, TaperIsExponentialAndTheTailIsSteady) {
    for (const plan::Chemistry chemistry : chemistries) {
        const ChargedSet set = set_of(chemistry);
        const ChargeLimits& l = set.limits;
        const double per_h = l.coulombic_efficiency * l.rate_per_h / (1 - l.taper_from);
        EXPECT_NEAR(1 - after_charging(set, l.taper_from, 1e6, 1 / per_h).state_of_charge,
                    (1 - l.taper_from) * std::exp(-1), 1e-12);
        const double tail_from = 1 - (1 - l.taper_from) * l.tail_share;
        const double until_tail_h = std::log(1 / l.tail_share) / per_h;
        EXPECT_NEAR(after_charging(set, l.taper_from, 1e6, until_tail_h).state_of_charge, tail_from, 1e-12);
        const double tail_h = (1 - tail_from) / (l.coulombic_efficiency * l.rate_per_h * l.tail_share);
        EXPECT_NEAR(after_charging(set, l.taper_from, 1e6, until_tail_h + tail_h / 2).state_of_charge,
                    (1 + tail_from) / 2, 1e-12);
        EXPECT_LT(after_charging(set, l.taper_from, 1e6, until_tail_h + 0.999 * tail_h).state_of_charge, 1);
        EXPECT_EQ(after_charging(set, l.taper_from, 1e6, until_tail_h + 1.001 * tail_h).state_of_charge, 1);
    }
}

// Independent: the law as it stands in the header, integrated in small steps by the midpoint rule.
TEST(Charging, FollowsItsLaw) {
    for (const plan::Chemistry chemistry : chemistries)
        for (const double watts : {5.0, 30.0, 200.0, 2000.0}) {
            const ChargedSet set = set_of(chemistry);
            const ChargeLimits& l = set.limits;
            const auto speed = [&](double s) {
                const double a = s < l.taper_from ? 1 : std::max((1 - s) / (1 - l.taper_from), l.tail_share);
                return l.coulombic_efficiency * std::min(watts / (28 * 40.0), l.rate_per_h * a);
            };
            double s = 0.3;
            constexpr int steps = 200'000;
            constexpr double hours = 9;
            for (int i = 0; i < steps; ++i)
                s = std::min(1.0, s + hours / steps * speed(s + hours / steps / 2 * speed(s)));
            EXPECT_NEAR(after_charging(set, 0.3, watts, hours).state_of_charge, s, 1e-5) << watts;
        }
}

// Identity: two spells are one of both, and what is stored is what was put in, less what the chemistry loses.
TEST(Charging, SpellsAddUpAndEnergyIsKept) {
    for (const plan::Chemistry chemistry : chemistries)
        for (double s0 = 0; s0 <= 1; s0 += 0.05)
            for (const double watts : {0.0, 3.0, 60.0, 150.0, 700.0})
                for (const double hours : {0.0, 0.1, 1.0, 4.0, 24.0}) {
                    const ChargedSet set = set_of(chemistry, 5);
                    const Charge whole = after_charging(set, s0, watts, hours);
                    const Charge first = after_charging(set, s0, watts, 0.3 * hours);
                    const Charge second = after_charging(set, first.state_of_charge, watts, 0.7 * hours);
                    EXPECT_NEAR(second.state_of_charge, whole.state_of_charge, 1e-12);
                    EXPECT_NEAR(first.terminals_wh + second.terminals_wh, whole.terminals_wh, 1e-9);
                    EXPECT_NEAR(whole.terminals_wh / 28 * set.limits.coulombic_efficiency,
                                (whole.state_of_charge - s0) * 40, 1e-9);
                    EXPECT_LE(whole.state_of_charge, 1);
                    EXPECT_GE(whole.state_of_charge, s0);
                    EXPECT_LE(whole.terminals_wh, watts * hours * (1 + 1e-12) + 1e-12);
                }
}

// Common practice, no source: lead-acid wants more volts in the cold, lithium iron phosphate less current.
TEST(Charging, ColdPlaces) {
    EXPECT_NEAR(
        charge_limits(plan::Chemistry::agm, 5).cell_v - charge_limits(plan::Chemistry::agm, 25).cell_v, 0.08,
        1e-12);
    EXPECT_NEAR(charge_limits(plan::Chemistry::lifepo4, 0).rate_per_h, 0.1, 1e-12);
    EXPECT_NEAR(charge_limits(plan::Chemistry::lifepo4, 10).rate_per_h, 0.5, 1e-12);
    EXPECT_NEAR(charge_limits(plan::Chemistry::lifepo4, 30).rate_per_h, 0.5, 1e-12);
}

// Definition: of a set of strings, as old as it is.
TEST(Charging, SetIsTheWholeBank) {
    model::transmitter::BatteryBank bank{
        model::transmitter::typical_block(model::transmitter::Chemistry::lead_agm, 12, 18), 2, 3};
    bank.block.age_capacity_fraction = 0.8;
    const ChargedSet set = charged_set(bank, plan::Chemistry::agm, 25);
    EXPECT_NEAR(set.full_ah, 18 * 3 * 0.8, 1e-12);
    EXPECT_NEAR(set.terminals_v, 2.35 * 6 * 2, 1e-12);
}

}  // namespace charging_test
}  // namespace ampturn::survey_days
