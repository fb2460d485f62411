#include "model/bridge/bridge.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"

namespace bridge_test {

using namespace ampturn::model;
using namespace ampturn::model::bridge;

struct Circuit {
    BridgeLoad load;
    BridgeVoltage voltage;
};
// Light and heavy damping, near and far from resonance, both duties, critical damping (R = 2 sqrt(L/C)).
const Circuit circuits[] = {
    {{1.2, 1.5e-3}, {10, 24, 1}},
    {{1.2, 1.5e-3}, {1e5, 24, 1}},
    {{0.4, 2e-3}, {300, 12, 0.4}},
    {{1.2, 1.5e-3, 1.689e-5}, {1000, 24, 1}},
    {{2, 3e-3, 2.339e-6}, {2154, 24, 0.7}},
    {{0.05, 1.5e-3, 1.689e-8}, {31620, 24, 1}},
    {{50, 1.5e-3, 1.689e-5}, {1000, 24, 0.8}},
    {{20, 1e-3, 1e-5}, {1591.5, 24, 1}},
    {{1.2, 1.5e-3, 1.0}, {1000, 24, 1}},
    {{1.2, 1.5e-3, 1e-6}, {50, 24, 0.9}},
};

// Independent: harmonics summed one by one.
double rms_by_harmonics(const Circuit& c) {
    double sum = 0;
    for (int n = 1; n < 200001; n += 2) {
        const double i = bridge_voltage_harmonic_v(c.voltage.bus_v, c.voltage.duty, n) /
                         load_impedance_ohm(c.load, n * c.voltage.frequency_hz);
        sum += i * i / 2;
    }
    return std::sqrt(sum);
}

TEST(Bridge, RmsIsTheSumOfItsHarmonics) {
    // Independent: the harmonic series against the solution in time.
    for (const Circuit& c : circuits) {
        const BridgeCurrent i = bridge_steady_state(c.load, c.voltage);
        const double sum = rms_by_harmonics(c);
        EXPECT_NEAR(i.rms_a, sum, 1e-8 * sum) << c.load.resistance_ohm << " " << c.load.capacitance_f;
    }
}

TEST(Bridge, PowerInIsHeatOut) {
    // Independent: the harmonic series against the solution in time.
    // Energy balance: mean of v i from the current's own Fourier fundamental and harmonics in phase with the
    // voltage must equal R rms^2. Terms fall as n^-2 to n^-4; 1e5 of them leave 1e-9.
    for (const Circuit& c : circuits) {
        const BridgeCurrent i = bridge_steady_state(c.load, c.voltage);
        double power = 0;
        for (int n = 1; n < 200001; n += 2) {
            const double v = bridge_voltage_harmonic_v(c.voltage.bus_v, c.voltage.duty, n);
            const double z = load_impedance_ohm(c.load, n * c.voltage.frequency_hz);
            power += v * v / (2 * z) * (c.load.resistance_ohm / z);
        }
        EXPECT_NEAR(i.mean_power_w, power, 1e-9 * power) << c.load.capacitance_f;
    }
}

TEST(Bridge, CurrentOfAQuarterWaveFromTheSeries) {
    // Independent: the harmonic series against the solution in time.
    // Edge currents against the harmonic series at the edges (slow to converge, so 1e-4 of the peak).
    for (const Circuit& c : circuits) {
        const BridgeCurrent i = bridge_steady_state(c.load, c.voltage);
        const double half = 0.5 / c.voltage.frequency_hz;
        const double fall = c.voltage.duty * half;
        double at_fall = 0;
        for (int n = 1; n < 40001; n += 2) {
            const double omega = 2 * pi * n * c.voltage.frequency_hz;
            const double x = omega * c.load.inductance_h - 1 / (omega * c.load.capacitance_f);
            const double v = bridge_voltage_harmonic_v(c.voltage.bus_v, c.voltage.duty, n);
            // Fundamental of the voltage is a cosine about the middle of the positive pulse.
            at_fall += v / std::hypot(c.load.resistance_ohm, x) *
                       std::cos(omega * (fall / 2) - std::atan2(x, c.load.resistance_ohm));
        }
        EXPECT_NEAR(i.falling_edge_a, at_fall, 1e-3 * i.peak_a + 1e-4 * std::abs(at_fall))
            << c.load.capacitance_f;
    }
}

TEST(Bridge, ThirdHarmonicVanishesAtTwoThirds) {
    // Closed form: Fourier series of the square wave.
    EXPECT_EQ(bridge_voltage_harmonic_v(12, 2.0 / 3, 3), 0);
    EXPECT_NEAR(bridge_voltage_harmonic_v(12, 1, 3), -4 * 12 / (3 * pi), 1e-12);
}

TEST(Bridge, AnOnTimeWithinTheDeadTimeGivesNoPulse) {
    // Definition: no switch pair ever conducts, and diodes only take energy out.
    const double f = 1000, half = 0.5 / f, dead = 0.1 * half;
    for (const double capacitance : {no_capacitor, 1.7e-5, 1e-6}) {
        const BridgeLoad load{1.2, 1.5e-3, capacitance};
        for (const double duty : {0.001, 0.05, 0.1}) {
            const BridgeCurrent i = bridge_steady_state(load, {f, 24, duty, dead});
            EXPECT_EQ(i.rms_a, 0) << duty << " " << capacitance;
            EXPECT_EQ(i.fundamental_peak_a, 0);
            EXPECT_EQ(i.capacitor_peak_v, 0);
        }
    }
    // From there the pulse grows out of nothing.
    const BridgeLoad loop{1.2, 1.5e-3};
    EXPECT_GT(bridge_steady_state(loop, {f, 24, 0.11, dead}).rms_a, 0);
    EXPECT_LT(bridge_steady_state(loop, {f, 24, 0.1 + 1e-7, dead}).peak_a, 1e-4);
}

TEST(Bridge, ACapacitorDrivesTheCurrentOnAfterThePulse) {
    // Identity: why a latch is refused with a capacitor: below resonance the peak comes after the falling edge.
    const BridgeCurrent i = bridge_steady_state({1.2, 1.5e-3, 1.6887e-5}, {800, 24, 0.3});
    EXPECT_GT(i.peak_a, 1.05 * i.falling_edge_a);
}

TEST(Bridge, NothingFromNothing) {
    EXPECT_EQ(bridge_steady_state({1, 1e-3}, {100, 0}).rms_a, 0);
    EXPECT_EQ(bridge_steady_state({1, 1e-3}, {100, 24, 0}).rms_a, 0);
}

}  // namespace bridge_test
