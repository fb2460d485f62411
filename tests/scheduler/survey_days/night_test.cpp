#include "scheduler/survey_days/night.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/survey_days/day_steps.hpp"

namespace ampturn::survey_days {
namespace night_test {

constexpr double warm_c = 20;

std::vector<ChargedSet> sets_of(std::size_t count, plan::Chemistry chemistry = plan::Chemistry::lifepo4) {
    return std::vector<ChargedSet>(
        count, {.full_ah = 40, .terminals_v = 28, .limits = charge_limits(chemistry, 15)});
}
plan::Charging mains() { return {.charger_w = 100, .chargers = 1, .hours = 8, .efficiency = 0.8}; }

double stored_ah(const Night& night) {
    double out = 0;
    for (const SetNight& set : night.sets) out += 40 * (set.morning - set.evening);
    return out;
}

// Closed form: what leaves the supply, times the charger's efficiency and the chemistry's, is what the sets hold more.
TEST(Night, EnergyIsKept) {
    for (const plan::Chemistry chemistry : {plan::Chemistry::lead_acid_flooded, plan::Chemistry::lifepo4})
        for (const int chargers : {1, 2, 5})
            for (const double supply_w : {60.0, 180.0, 1000.0}) {
                plan::Charging charging = mains();
                charging.chargers = chargers;
                charging.supply_w = supply_w;
                const auto sets = sets_of(4, chemistry);
                const Night night = charge_overnight(charging, sets, {0.9, 0.2, 0.5, 0.3}, 100, warm_c);
                EXPECT_NEAR(night.supply_wh * 0.8 / 28 * sets[0].limits.coulombic_efficiency,
                            stored_ah(night), 1e-9);
                EXPECT_LE(night.most_supply_w, supply_w * (1 + 1e-12));
                EXPECT_LE(night.most_supply_w, chargers * 100 / 0.8 * (1 + 1e-12));
                EXPECT_LE(night.supply_wh, 8 * supply_w * (1 + 1e-12));
                for (const SetNight& set : night.sets) {
                    EXPECT_LE(set.morning, 1);
                    EXPECT_GE(set.morning, set.evening);
                }
            }
}

// Closed form: one charger, below the taper all night: 100 W for 8 h at 28 V.
TEST(Night, EmptiestFirst) {
    const Night night = charge_overnight(mains(), sets_of(3), {0.2, 0.1, 0.3}, 100, warm_c);
    EXPECT_NEAR(night.sets[1].morning, 0.1 + 0.99 * 800 / (28 * 40.0), 1e-9);
    EXPECT_EQ(night.sets[0].morning, 0.2);
    EXPECT_EQ(night.sets[2].morning, 0.3);
    EXPECT_EQ(night.changes, 0);
    EXPECT_EQ(night.hours, 8);
    EXPECT_FALSE(night.all_full);
    EXPECT_NEAR(night.sets[1].on_charger_h, 8, 1e-9);
}

// Definition: a charger goes on to the set that waits when the first is full; full sets are left alone.
TEST(Night, ChargersGoOnToTheNext) {
    plan::Charging charging = mains();
    charging.chargers = 2;
    charging.hours = 24;
    const Night night = charge_overnight(charging, sets_of(4), {0.6, 0.7, 1.0, 0.8}, 100, warm_c);
    EXPECT_TRUE(night.all_full);
    EXPECT_EQ(night.changes, 1);
    EXPECT_EQ(night.sets[2].terminals_wh, 0);
    EXPECT_NEAR(night.supply_wh, 40 * (0.4 + 0.3 + 0.2) * 28 / 0.99 / 0.8, 1e-6) << "closed form";
}

// Closed form: a supply of 60 W at 0.8 gives 48 W to the first set; the second waits for what is left, nothing.
TEST(Night, SupplyLimitsAllTogether) {
    plan::Charging charging = mains();
    charging.chargers = 2;
    charging.supply_w = 60;
    const Night night = charge_overnight(charging, sets_of(2), {0.1, 0.2}, 100, warm_c);
    EXPECT_NEAR(night.supply_wh, 480, 1e-9);
    EXPECT_NEAR(night.sets[0].morning, 0.1 + 0.99 * 48 * 8 / (28 * 40.0), 1e-9);
    EXPECT_EQ(night.sets[1].morning, 0.2);
}

// Definition: no more than the supply's watt-hours, and all of them where sets still take charge.
TEST(Night, SupplyRunsOut) {
    for (const double wh : {1.0, 77.7, 500.0}) {
        plan::Charging charging = mains();
        charging.supply_wh = wh;
        const Night night = charge_overnight(charging, sets_of(2), {0.1, 0.93}, 100, warm_c);
        EXPECT_LE(night.supply_wh, wh * (1 + 1e-12));
        EXPECT_NEAR(night.supply_wh, wh, 2e-3);
        EXPECT_TRUE(night.supply_spent);
    }
    // In the taper what is taken falls while the watt-hours run out.
    plan::Charging charging = mains();
    charging.supply_wh = 20;
    const Night taper = charge_overnight(charging, sets_of(1, plan::Chemistry::agm), {0.985}, 100, warm_c);
    EXPECT_LE(taper.supply_wh, 20 * (1 + 1e-12));
}

// Closed form: T(t) = place + (T0 - place) exp(-t / 5 h) reaches 0 C after 5 ln((place - T0) / place) hours.
TEST(Night, ColdBatteriesWarmFirst) {
    EXPECT_EQ(warm_up_h(0, 15), 0);
    EXPECT_NEAR(warm_up_h(-10, 10), 5 * std::log(2.0), 1e-12);
    EXPECT_TRUE(std::isinf(warm_up_h(-1, 0)));
    plan::Charging charging = mains();
    charging.place_temperature_c = 10;
    const Night night = charge_overnight(charging, sets_of(1), {0.1}, 100, -10);
    EXPECT_NEAR(night.waited_h, 5 * std::log(2.0), 1e-12);
    EXPECT_NEAR(night.supply_wh, 100 / 0.8 * (8 - 5 * std::log(2.0)), 1e-6);
    charging.place_temperature_c = 0;
    const Night frozen = charge_overnight(charging, sets_of(1), {0.1}, 100, -10);
    EXPECT_EQ(frozen.supply_wh, 0) << "definition: no charging below 0 C";
    EXPECT_EQ(frozen.sets[0].morning, 0.1);
    EXPECT_EQ(frozen.waited_h, 8);
}

// Definition: charging ends when the next day starts; every night between two dates has its hours and its watt-hours.
TEST(Night, BetweenTwoDays) {
    plan::Charging charging = mains();
    charging.supply_wh = 300;
    const auto sets = sets_of(1);
    const double hour_s = 3600;
    const auto one = nights_between(charging, sets, {0.1},
                                    {.over_s = 26 * hour_s, .next_start_s = 8 * hour_s, .nights = 1}, warm_c);
    ASSERT_EQ(one.size(), 1u);
    EXPECT_NEAR(one[0].hours, 6, 1e-12);
    const auto none = nights_between(
        charging, sets, {0.1}, {.over_s = 33 * hour_s, .next_start_s = 8 * hour_s, .nights = 1}, warm_c);
    EXPECT_EQ(none[0].hours, 0);
    EXPECT_EQ(none[0].supply_wh, 0);
    const auto three = nights_between(
        charging, sets, {0.1}, {.over_s = 16 * hour_s, .next_start_s = 8 * hour_s, .nights = 3}, warm_c);
    ASSERT_EQ(three.size(), 3u);
    for (const Night& night : three) EXPECT_NEAR(night.supply_wh, 300, 2e-3);
    EXPECT_EQ(three[1].sets[0].evening, three[0].sets[0].morning);
    EXPECT_EQ(states_after(three, {0.1})[0], three[2].sets[0].morning);
}

}  // namespace night_test
}  // namespace ampturn::survey_days
