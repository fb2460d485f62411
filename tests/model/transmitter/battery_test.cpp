#include "model/transmitter/battery.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>
#include <tuple>
#include "tests/outside_check.hpp"
#include "tests/reference_csv.hpp"

namespace battery_test {

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

/// Hours until nothing is available, at constant current from a full set, by bisection.
double hours_to_empty(const KineticWells& w, double current_a) {
    double low = 0, high = 1000;
    for (int n = 0; n < 100; ++n) {
        const double middle = (low + high) / 2;
        const auto left = after_constant_current(w, charge_at_soc(w, 1), current_a, 3600 * middle);
        (left.available_ah > 0 ? low : high) = middle;
    }
    return low;
}

TEST(KineticFit, GivesBothRatings) {
    // Definition: emptied at the rated current in the rated hours, and in one hour at the current of the other rating.
    for (const auto& [hours, share, c] :
         {std::tuple{20.0, 0.6, 0.35}, {10.0, 0.5, 0.3}, {5.0, 0.95, 0.6}, {100.0, 0.3, 0.35}}) {
        const KineticFit fit =
            kinetic_fit({.rated_ah = 40, .rated_hours = hours, .one_hour_fraction = share}, c);
        const KineticWells w{fit.capacity_ah, fit.available_fraction, fit.rate_per_h};
        EXPECT_NEAR(hours_to_empty(w, 40 / hours), hours, 1e-6 * hours) << share;
        EXPECT_NEAR(hours_to_empty(w, share * 40), 1, 1e-6) << share;
        EXPECT_LE(fit.available_fraction, c);
        EXPECT_GT(fit.capacity_ah, 40) << "more lies in it than comes out";
    }
    EXPECT_THROW(kinetic_fit({.rated_ah = 40, .rated_hours = 1, .one_hour_fraction = 0.6}, 0.35),
                 std::invalid_argument);
}

TEST(Battery, ALithiumBlockGivesLessTheQuickerItIsEmptiedAndResistsMoreWhenEmpty) {
    // Common practice, no source: four fifths of all charge within an hour, a third more resistance empty than full.
    const BatteryBlock block = typical_block(Chemistry::lifepo4, 12.8, 60);
    EXPECT_EQ(block.capacity_25c_ah, 60) << "definition: what is asked for";
    EXPECT_EQ(typical_block(Chemistry::lead_agm, 12, 45).capacity_25c_ah, 45);
    EXPECT_NEAR(60 / total_charge_ah(block.available_fraction, block.rate_per_h, 60, 1), 0.826, 1e-3);
    BatteryBank bank;
    bank.block = block;
    EXPECT_NEAR(battery_source(bank, 0, 25).resistance_ohm / battery_source(bank, 1, 25).resistance_ohm, 1.35,
                1e-9);
}

TEST(Battery, ColdBeyondTheTableIsContinued) {
    // Published factors, and beyond them a published cubic (README of the reference folder: weak there).
    const ReferenceCsv table("field/battery_temp_leadacid.csv", 24);
    ampturn::test::OutsideCheck check("capacity of lead-acid against temperature",
                                      "tests/reference/field/battery_temp_leadacid.csv: IEEE 485 and a cubic",
                                      "of the factor");
    for (std::size_t i = 0; i < table.size(); ++i)
        check.relative(ieee485_factor(table.number(i, "T_C")).factor, table.number(i, "factor_cubic"), 0.03,
                       table.text(i, "T_C") + " C");
    BatteryBank bank{typical_block(Chemistry::lead_agm, 12, 40), 1, 1};
    EXPECT_LT(wells(bank, -14).capacity_ah, 0.9 * wells(bank, -3.9).capacity_ah);
    EXPECT_EQ(coldest_known_c(bank.block), -3.9);
    EXPECT_TRUE(ieee485_factor(-3.9).inside && ieee485_factor(51.7).inside)
        << "definition: ends belong to it";
    EXPECT_FALSE(ieee485_factor(-4).inside || ieee485_factor(51.8).inside);
    const BatteryBlock lithium = typical_block(Chemistry::lifepo4, 12.8, 40);
    EXPECT_EQ(coldest_known_c(lithium), -20);
    EXPECT_NEAR(capacity_factor(lithium, -30), 0.45, 1e-12) << "closed form: 0.60 less another 0.15";
    EXPECT_EQ(capacity_factor(lithium, -60), 0.05) << "definition: never below a twentieth";
}

TEST(Battery, VoltsFallBeforeTheChargeIsOut) {
    // Closed form: the knee, and half charge well away from it.
    BatteryBank bank{typical_block(Chemistry::lead_agm, 12, 40), 1, 1}, without = bank;
    without.block.knee_v_per_cell = 0;
    const auto knee_v = [&](double soc) {
        return battery_source(without, soc, 25).ocv_v - battery_source(bank, soc, 25).ocv_v;
    };
    EXPECT_NEAR(knee_v(0), 6 * 0.25, 1e-12);
    EXPECT_NEAR(knee_v(0.025), 6 * 0.25 / std::exp(1.0), 1e-12);
    EXPECT_LT(knee_v(0.5), 1e-8);
    EXPECT_LT(battery_source(bank, 0, 25).ocv_v, battery_source(bank, 0, 25).cutoff_v)
        << "an empty set is below its cut-off before any current";
}

TEST(Battery, VoltsWarnInEveryChemistryAtEveryRate) {
    // Law: at constant current the terminals reach the cut-off while the wells still give, from ten hours to one.
    for (const Chemistry chemistry : {Chemistry::lead_flooded, Chemistry::lead_agm, Chemistry::lifepo4}) {
        const BatteryBank bank{typical_block(chemistry, 12, 40), 1, 1};
        const KineticWells w = wells(bank, 25);
        for (const double current_a : {4.0, 12.0, 40.0}) {
            BatteryCharge q = charge_at_soc(w, 1);
            bool warned = false;
            while (!warned && q.available_ah > 0) {
                q = after_constant_current(w, q, current_a, 10);
                const BatterySource s = battery_source(bank, soc_for_voltage(bank, w, q), 25);
                warned = s.ocv_v - current_a * s.resistance_ohm < s.cutoff_v;
            }
            EXPECT_TRUE(warned) << static_cast<int>(chemistry) << " at " << current_a << " A";
            EXPECT_GT(q.available_ah, 0) << static_cast<int>(chemistry) << " at " << current_a << " A";
        }
    }
}

}  // namespace battery_test
