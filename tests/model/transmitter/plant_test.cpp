#include "model/transmitter/plant.hpp"

#include <gtest/gtest.h>

#include "tests/model/transmitter/example_transmitter.hpp"

namespace plant_test {

using namespace ampturn::model::transmitter;

Drive sending(double frequency_hz, double amperes = no_limit) {
    Drive d;
    d.mode = DriveMode::sending;
    d.tap_index = 1;
    d.frequency_hz = frequency_hz;
    d.target_fundamental_peak_a = amperes;
    return d;
}

TEST(Plant, SendsAndReadsBack) {
    // Definition: 6 A as asked, moment = current * 5 turns * 100 m2.
    const Transmitter transmitter = example_transmitter();
    PlantState s = plant_at_rest(transmitter, 20);
    const PlantResult r = advance(transmitter, s, sending(100, 6), 60);
    EXPECT_EQ(r.advanced_s, 60);
    EXPECT_FALSE(r.crossing);
    EXPECT_NEAR(r.end.fundamental_peak_a, 6, 1e-9);
    EXPECT_EQ(r.end.limited_by, Limit::target);
    EXPECT_NEAR(r.end.moment_peak_a_m2, 6 * 5 * 100, 1e-6);
    EXPECT_LT(r.end.battery_v, 25.62) << "sagged from 12 cells at 2.135 V";
    EXPECT_LT(r.end.soc_total, 1);
    EXPECT_GT(r.end.winding_c, 20);
}

TEST(Plant, EnergyBookCloses) {
    // Identity: conservation of energy.
    const Transmitter transmitter = example_transmitter();
    PlantState s = plant_at_rest(transmitter, 20);
    for (const double f : {20.0, 200.0, 2000.0}) {
        const EnergyBalance e = advance(transmitter, s, sending(f), 300).energy;
        EXPECT_NEAR(
            e.battery_out_j,
            e.copper_j + e.bridge_j + e.switching_j + e.fixed_j + e.converter_j + e.wiring_j + e.leakage_j,
            1e-9 * e.battery_out_j);
    }
}

TEST(Plant, HalvingTheStepChangesLittle) {
    // Identity: convergence of the step control.
    // Two hours in one call against one second a call: the step control promises second order, not exactness.
    const Transmitter transmitter = example_transmitter();
    PlantState one = plant_at_rest(transmitter, 20);
    PlantState many = one;
    const Drive d = sending(50, 4);
    advance(transmitter, one, d, 7200);
    for (int i = 0; i < 7200; ++i) advance(transmitter, many, d, 1);
    EXPECT_NEAR(one.charge.available_ah, many.charge.available_ah, 1e-5 * many.charge.available_ah);
    EXPECT_NEAR(one.charge.bound_ah, many.charge.bound_ah, 1e-5 * many.charge.bound_ah);
    EXPECT_NEAR(one.winding_c[0], many.winding_c[0], 1e-3);
}

TEST(Plant, StopsAtTheWindingLimit) {
    // Definition: it stops where the limits of the design are.
    TransmitterDesign design = example_design();
    design.limits.winding_c = 40;
    design.limits.restart_winding_c = 35;
    const Transmitter transmitter = prepare(design);
    PlantState s = plant_at_rest(transmitter, 20);
    const PlantResult r = advance(transmitter, s, sending(20), 7200);
    ASSERT_TRUE(r.crossing);
    EXPECT_EQ(*r.crossing, Crossing::winding_limit);
    EXPECT_NEAR(s.winding_c[0], 40, 1e-4);
    EXPECT_GE(s.winding_c[0], 40);
    const PlantResult cooling = advance(transmitter, s, Drive{}, 7200);
    ASSERT_TRUE(cooling.crossing);
    EXPECT_EQ(*cooling.crossing, Crossing::winding_restart);
    EXPECT_NEAR(s.winding_c[0], 35, 1e-4);
}

TEST(Plant, EmptiesAndIsGone) {
    const Transmitter transmitter = example_transmitter();
    PlantState s = plant_at_rest(transmitter, 20, 0.3);
    std::optional<Crossing> last;
    double total = 0;
    for (int i = 0; i < 10 && !s.cut_off; ++i) {
        const PlantResult r = advance(transmitter, s, sending(20, 6), 36000);
        total += r.advanced_s;
        last = r.crossing;
    }
    ASSERT_TRUE(s.cut_off);
    EXPECT_EQ(*last, Crossing::battery_empty);
    EXPECT_GT(total, 60);
    const PlantReadings dead = read(transmitter, s, sending(20, 6));
    EXPECT_FALSE(dead.supplied);
    EXPECT_EQ(dead.battery_v, 0);
    EXPECT_EQ(dead.fundamental_peak_a, 0);
    exchange_battery(transmitter, s, 20);
    EXPECT_TRUE(read(transmitter, s, sending(20, 6)).supplied);
}

// Over an hour and forty minutes between two sites a disconnected set once stayed as empty as it was taken off.
TEST(Plant, ADisconnectedBatteryRecovers) {
    const Transmitter transmitter = example_transmitter();
    PlantState s = plant_at_rest(transmitter, 20);
    (void)advance(transmitter, s, sending(100, 6), 1800);
    const BatteryBlock& block = transmitter.design.battery.block;
    const KineticWells w{block.capacity_25c_ah * transmitter.design.battery.parallel,
                         block.available_fraction, block.rate_per_h};
    const BatteryCharge before = s.charge;
    s.faults.battery_disconnected = true;
    (void)advance(transmitter, s, {}, 6000);
    // Closed form: the wells left alone.
    const BatteryCharge expected = after_constant_current(w, before, 0, 6000);
    EXPECT_GT(s.charge.available_ah, before.available_ah);
    EXPECT_NEAR(s.charge.available_ah, expected.available_ah, 1e-9);
    EXPECT_NEAR(s.charge.available_ah + s.charge.bound_ah, before.available_ah + before.bound_ah, 1e-9);
}

TEST(Plant, FaultsShowInTheReadings) {
    // Definition: the check current of the design.
    const Transmitter transmitter = example_transmitter();
    PlantState s = plant_at_rest(transmitter, 20);
    Drive check;
    check.mode = DriveMode::self_check;
    check.tap_index = 1;
    const PlantReadings healthy = read(transmitter, s, check);
    EXPECT_NEAR(healthy.fundamental_peak_a, 0.2, 1e-9);
    s.faults.loop_open[0] = true;
    EXPECT_EQ(read(transmitter, s, check).fundamental_peak_a, 0);
    EXPECT_EQ(read(transmitter, s, check).loop_resistance_ohm, no_limit);
    s.faults = {};
    s.faults.short_fraction[0] = 1;
    EXPECT_LT(read(transmitter, s, check).loop_resistance_ohm, 0.1 * healthy.loop_resistance_ohm);
    s.faults = {};
    s.faults.supply_reversed = true;
    EXPECT_TRUE(read(transmitter, s, check).reversed);
    EXPECT_LT(read(transmitter, s, check).battery_v, 0);
    EXPECT_FALSE(read(transmitter, s, check).supplied);
    s.faults = {};
    s.faults.battery_resistance_factor = 10;
    EXPECT_LT(read(transmitter, s, sending(20)).battery_v,
              read(transmitter, plant_at_rest(transmitter, 20), sending(20)).battery_v);
    s.faults = {};
    s.faults.battery_disconnected = true;
    EXPECT_EQ(read(transmitter, s, check).battery_v, 0);
}

TEST(Plant, ExchangedPlugsFeedTheOtherLoop) {
    // Identity: what terminal A feeds with plugs exchanged is what terminal B feeds with plugs right, faults of the cables
    // and temperatures of the windings included.
    TransmitterDesign design = example_design();
    design.loop_b->outline = ampturn::model::loop::square_outline(8);
    const Transmitter transmitter = prepare(design);
    PlantState right = plant_at_rest(transmitter, 20);
    right.winding_c = {20, 60};
    right.faults.contact_ohm = {0, 0.3};
    PlantState exchanged = right;
    exchanged.faults.plugs_exchanged = true;
    Drive a = sending(400, 3), b = a;
    b.loop = ampturn::model::loop::LoopSelection::b;
    for (const auto& [left, over] : {std::pair{a, b}, std::pair{b, a}}) {
        const PlantReadings one = read(transmitter, exchanged, left), other = read(transmitter, right, over);
        EXPECT_EQ(one.fundamental_peak_a, other.fundamental_peak_a);
        EXPECT_EQ(one.loop_resistance_ohm, other.loop_resistance_ohm);
        EXPECT_EQ(one.moment_peak_a_m2, other.moment_peak_a_m2);
        EXPECT_EQ(one.battery_w, other.battery_w);
    }
    EXPECT_NE(read(transmitter, right, a).battery_w, read(transmitter, right, b).battery_w);
    exchanged.faults.loop_open[1] = true;
    EXPECT_EQ(read(transmitter, exchanged, a).fundamental_peak_a, 0) << "cable B hangs on terminal A";
}

TEST(Plant, AFallenLoopSendsLess) {
    // Definition: the moment goes with the area; at high frequency the current with 1 over the inductance, which goes with
    // the size of the loop, the root of its area.
    const Transmitter transmitter = example_transmitter();
    PlantState s = plant_at_rest(transmitter, 20);
    const PlantReadings up = read(transmitter, s, sending(100, 6)),
                        fast = read(transmitter, s, sending(20000));
    s.faults.area_factor[0] = 0.25;
    const PlantReadings down = read(transmitter, s, sending(100, 6));
    EXPECT_NEAR(down.fundamental_peak_a, 6, 1e-9);
    EXPECT_NEAR(down.moment_peak_a_m2, 0.25 * up.moment_peak_a_m2, 1e-9 * up.moment_peak_a_m2);
    EXPECT_NEAR(read(transmitter, s, sending(20000)).fundamental_peak_a / fast.fundamental_peak_a, 2, 0.05);
}

}  // namespace plant_test
