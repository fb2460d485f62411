#include "model/transmitter/thermal.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace thermal_test {

using namespace ampturn::model::transmitter;

constexpr ThermalNodes linked{900, 350, 1.2, 2.2, 6};
HeatInput heat(double rms_a) { return {rms_a, 0.4, 0.00393, 0.012, 0.005, 0, 2}; }

TEST(Thermal, EnergyBookOfAnInterval) {
    // Identity: conservation of energy.
    // Heat stored = heat in - heat out, from the mean temperatures over the interval (exact for a linear
    // system); the means by Simpson's rule, whose error at 1/200 of some 400 s is below 1e-10.
    const Temperatures start{30, 35};
    const double dt = 400, ambient = 25;
    const HeatInput q = heat(9);
    const Temperatures end = after_heating(linked, q, ambient, start, dt);
    Temperatures mean{0, 0};
    constexpr int parts = 200;
    for (int i = 0; i <= parts; ++i) {
        const Temperatures t = after_heating(linked, q, ambient, start, dt * i / parts);
        const double weight = (i == 0 || i == parts ? 1.0 : i % 2 == 1 ? 4.0 : 2.0) / (3.0 * parts);
        mean.winding_c += weight * t.winding_c;
        mean.electronics_c += weight * t.electronics_c;
    }
    const double in = 81 * 0.4 * (1 + 0.00393 * (mean.winding_c - 20)) + 2 +
                      81 * 0.012 * (1 + 0.005 * (mean.electronics_c - 25));
    const double out = (mean.winding_c - ambient) / 1.2 + (mean.electronics_c - ambient) / 2.2;
    const double stored =
        900 * (end.winding_c - start.winding_c) + 350 * (end.electronics_c - start.electronics_c);
    EXPECT_NEAR(stored, (in - out) * dt, 1e-9 * in * dt);
}

TEST(Thermal, InTwoStepsAsInOneAndToTheSteadyState) {
    // Identity: an exact solution composes, and ends in the steady state.
    const Temperatures start{20, 20};
    const HeatInput q = heat(8);
    Temperatures two = after_heating(linked, q, 25, start, 130);
    two = after_heating(linked, q, 25, two, 370);
    const Temperatures one = after_heating(linked, q, 25, start, 500);
    EXPECT_NEAR(one.winding_c, two.winding_c, 1e-10);
    EXPECT_NEAR(one.electronics_c, two.electronics_c, 1e-10);
    const auto steady = steady_temperatures(linked, q, 25);
    ASSERT_TRUE(steady);
    const Temperatures late = after_heating(linked, q, 25, start, 1e5);
    EXPECT_NEAR(late.winding_c, steady->winding_c, 1e-8);
}

TEST(Thermal, EqualEigenvaluesAndNoLink) {
    const ThermalNodes twins{1000, 1000, 1, 1, no_link};
    const HeatInput cold{0, 0.4, 0.00393, 0.012, 0.005, 0, 0};
    const Temperatures t = after_heating(twins, cold, 20, {120, 70}, 1000);
    EXPECT_NEAR(t.winding_c, 20 + 100 * std::exp(-1.0), 1e-9) << "closed form";
    EXPECT_NEAR(t.electronics_c, 20 + 50 * std::exp(-1.0), 1e-9) << "closed form";
}

TEST(Thermal, RunawayIsWhereTheSteadyStateEnds) {
    // Identity: an infinite steady state at the current that runs away.
    const double at = runaway_current_a(linked, heat(0));
    EXPECT_TRUE(steady_temperatures(linked, heat(at * 0.999), 20));
    EXPECT_FALSE(steady_temperatures(linked, heat(at * 1.001), 20));
    ThermalNodes alone = linked;
    alone.winding_electronics_k_per_w = no_link;
    EXPECT_NEAR(runaway_current_a(alone, heat(0)), 1 / std::sqrt(0.4 * 0.00393 * 1.2), 1e-9) << "closed form";
}

TEST(Thermal, DutyThatHoldsTheLimit) {
    // Identity: the duty found, run periodically, peaks at the limit.
    const auto duty = duty_to_hold_limit(linked, heat(15), 25, 75, 1e9, 300);
    ASSERT_TRUE(duty);
    const HeatSegment pattern[] = {{*duty * 300, 15}, {(1 - *duty) * 300, 0}};
    const auto start = periodic_temperatures(linked, heat(0), 25, pattern);
    ASSERT_TRUE(start);
    EXPECT_NEAR(after_heating(linked, heat(15), 25, *start, *duty * 300).winding_c, 75, 1e-5);
    EXPECT_EQ(duty_to_hold_limit(linked, heat(1), 25, 75, 85, 300), 1.0);
    EXPECT_FALSE(duty_to_hold_limit(linked, heat(1), 90, 75, 85, 300));
}

}  // namespace thermal_test
