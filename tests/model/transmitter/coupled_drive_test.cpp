#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/transmitter/heat_of.hpp"
#include "model/transmitter/operating_point.hpp"
#include "tests/model/transmitter/example_transmitter.hpp"

namespace coupled_drive_test {

using namespace ampturn::model;
using namespace ampturn::model::transmitter;
using loop::LoopSelection;

// Two like loops this many degrees apart, each tuned by the same capacitor with 24 V of battery.
Transmitter crossed(double angle_deg, double rated_v = no_limit) {
    TransmitterDesign d = example_design();
    d.loop_b->normal_azimuth_deg = angle_deg;
    d.limits.rms_a = no_limit;
    for (SeriesCapacitor& c : d.capacitors) c.rated_peak_v = rated_v;
    return prepare(d);
}

Conditions cold(const Transmitter& t) { return {.battery = battery_source(t.design.battery, 1, 20)}; }

double resonance_hz(const Transmitter& t, int capacitor) {
    const double c = t.design.capacitors[static_cast<std::size_t>(capacitor)].capacitance_f;
    return 1 / (2 * pi * std::sqrt(t.taps_a[2].inductance_dc_h * c));
}

DriveRequest both_at(double frequency_hz, double target_a = no_limit) {
    return {.frequency_hz = frequency_hz,
            .fundamental_peak_a = target_a,
            .loop = LoopSelection::both,
            .tap_index = 2,
            .capacitor_index = 0};
}

TEST(CoupledDrive, RightAnglesAreTwoLoopsApart) {
    const Transmitter t = crossed(90);
    const double f = resonance_hz(t, 0);
    const OperatingPoint both = solve_operating_point(t, cold(t), both_at(f, 3));
    DriveRequest one = both_at(f, 3);
    one.loop = LoopSelection::a;
    const OperatingPoint a = solve_operating_point(t, cold(t), one);
    ASSERT_TRUE(both.solved && a.solved);
    EXPECT_EQ(both.limited_by, Limit::target);
    EXPECT_NEAR(both.current.fundamental_peak_a, both.current_b.fundamental_peak_a, 1e-9);
    // Identity: two loops lose twice as much in the windings.
    EXPECT_NEAR(both.power.copper_w, 2 * a.power.copper_w, 0.01 * a.power.copper_w);
}

TEST(CoupledDrive, OffRightAnglesOneLoopFallsAndTheOtherRises) {
    const Transmitter square = crossed(90), t = crossed(85);
    const double f = resonance_hz(t, 0);
    const OperatingPoint apart = solve_operating_point(square, cold(square), both_at(f));
    const OperatingPoint both = solve_operating_point(t, cold(t), both_at(f));
    ASSERT_TRUE(apart.solved && both.solved);
    const double m = t.mutual_one_turn_h * 100;
    const double x = 2 * pi * f * std::abs(m) / both.total_resistance_ohm;
    ASSERT_GT(x, 0.1) << "the angle matters";
    // Closed form of like loops near resonance: the ratio of the two currents is (1 + x)/(1 - x).
    const double larger = std::max(both.current.fundamental_peak_a, both.current_b.fundamental_peak_a);
    const double smaller = std::min(both.current.fundamental_peak_a, both.current_b.fundamental_peak_a);
    EXPECT_NEAR(larger / smaller, std::abs((1 + x) / (1 - x)), 0.1 * larger / smaller)
        << "near: inductance and resistance are those at this frequency, not exactly in resonance";
    EXPECT_GT(both.largest_capacitor_peak_v(),
              1.01 * std::min(both.current.capacitor_peak_v, both.current_b.capacitor_peak_v));
}

TEST(CoupledDrive, EveryLimitHoldsForBothLoops) {
    for (const double angle_deg : {85.0, 80.0, 70.0}) {
        const Transmitter free = crossed(angle_deg);
        const double f = resonance_hz(free, 0);
        const OperatingPoint unlimited = solve_operating_point(free, cold(free), both_at(f));
        const double rated_v = 0.8 * unlimited.largest_capacitor_peak_v();
        const Transmitter t = crossed(angle_deg, rated_v);
        const OperatingPoint held = solve_operating_point(t, cold(t), both_at(f));
        ASSERT_TRUE(held.solved);
        EXPECT_EQ(held.limited_by, Limit::capacitor_voltage);
        EXPECT_LE(held.largest_capacitor_peak_v(), rated_v * (1 + 1e-9));
        EXPECT_GT(held.largest_capacitor_peak_v(), rated_v * (1 - 1e-6)) << "definition: driven up to it";

        Transmitter peak = free;
        peak.design.limits.peak_a = 0.7 * unlimited.largest_peak_a();
        const OperatingPoint low = solve_operating_point(peak, cold(peak), both_at(f));
        EXPECT_EQ(low.limited_by, Limit::peak_current);
        EXPECT_LE(low.largest_peak_a(), peak.design.limits.peak_a * (1 + 1e-9));
    }
}

TEST(CoupledDrive, BothRegulatorsReachTheirTarget) {
    const Transmitter t = crossed(87);
    const double f = resonance_hz(t, 0) * 1.05;
    const OperatingPoint full = solve_operating_point(t, cold(t), both_at(f));
    const double target = 0.5 * std::min(full.current.fundamental_peak_a, full.current_b.fundamental_peak_a);
    const OperatingPoint both = solve_operating_point(t, cold(t), both_at(f, target));
    ASSERT_TRUE(both.solved);
    EXPECT_EQ(both.limited_by, Limit::target);
    // Definition: what was asked for.
    EXPECT_NEAR(both.current.fundamental_peak_a, target, 1e-6 * target);
    EXPECT_NEAR(both.current_b.fundamental_peak_a, target, 1e-6 * target);
}

TEST(CoupledDrive, PowerAndHeatCountBothLoops) {
    const Transmitter t = crossed(80);
    const DriveRequest request = both_at(resonance_hz(t, 0), 2);
    const OperatingPoint p = solve_operating_point(t, cold(t), request);
    ASSERT_TRUE(p.solved);
    // Identity: what leaves the battery is what the parts lose.
    const double lost_w = p.power.bus_w() + p.power.converter_w + p.power.wiring_w + p.power.other_w;
    EXPECT_NEAR(p.power.battery_w, lost_w, 1e-6 * lost_w);
    EXPECT_EQ(heat_of(t, request, p, LoopSelection::a).rms_a, p.current.rms_a);
    EXPECT_EQ(heat_of(t, request, p, LoopSelection::b).rms_a, p.current_b.rms_a);
}

TEST(CoupledDrive, AnIdleLoopThatIsClosedTakesPartInTheCircuit) {
    TransmitterDesign d = crossed(85).design;
    const Transmitter open = prepare(d);
    d.driver.idle_loop_closed = true;
    const Transmitter closed = prepare(d);
    for (const LoopSelection sends : loop::each_loop) {
        DriveRequest request = both_at(resonance_hz(open, 0));
        request.loop = sends;
        const OperatingPoint alone = solve_operating_point(open, cold(open), request);
        const OperatingPoint beside = solve_operating_point(closed, cold(closed), request);
        ASSERT_TRUE(alone.solved && beside.solved);
        EXPECT_EQ(alone.idle.rms_a, 0) << "definition: an open loop carries nothing";
        // Closed form: w M I in the idle loop's own impedance, R in resonance.
        const double m = std::abs(closed.mutual_one_turn_h) * 100;
        const double expected = 2 * pi * request.frequency_hz * m * beside.current.fundamental_peak_a /
                                beside.total_resistance_ohm;
        EXPECT_NEAR(beside.idle.fundamental_peak_a, expected, 0.05 * expected);
        EXPECT_LT(beside.current.fundamental_peak_a, alone.current.fundamental_peak_a)
            << "the idle loop's loss comes through the field";
        const LoopSelection idle = sends == LoopSelection::a ? LoopSelection::b : LoopSelection::a;
        EXPECT_EQ(heat_of(closed, request, beside, idle).rms_a, beside.idle.rms_a);
    }
}

TEST(CoupledDrive, ATapThatALoopLacksIsRefused) {
    TransmitterDesign d = example_design();
    d.loop_b->taps = {10};
    const Transmitter t = prepare(d);
    try {
        (void)solve_operating_point(t, cold(t), both_at(1000));
        FAIL() << "solved";
    } catch (const RangeError& refused) {
        EXPECT_NE(std::string(refused.what()).find("tap_index"), std::string::npos);
    }
}

}  // namespace coupled_drive_test
