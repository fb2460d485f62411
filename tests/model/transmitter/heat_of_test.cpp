#include "model/transmitter/heat_of.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/model/transmitter/example_transmitter.hpp"

namespace heat_of_test {

using namespace ampturn::model::loop;
using namespace ampturn::model::transmitter;

TransmitterDesign aluminium_design() {
    TransmitterDesign d = example_design();
    d.loop_a.wire.resistivity_20c_ohm_m = aluminium_resistivity_20c_ohm_m;
    d.loop_a.wire.alpha20_per_k = aluminium_alpha20_per_k;
    d.thermal.winding_electronics_k_per_w = no_link;
    d.limits.electronics_c = 1000;
    return d;
}

OperatingPoint point_of(const Transmitter& transmitter, const DriveRequest& request) {
    return solve_operating_point(
        transmitter, {.electronics_c = 20, .battery = battery_source(transmitter.design.battery, 0.9, 20)},
        request);
}

/// Closed form: C dT/dt = P (1 + a (T - 20)) - (T - 20)/R from 20 C has the rise
/// P/(1/R - P a) (1 - e^{-(1/R - P a) t/C}).
double time_to_rise_s(const ThermalNodes& nodes, double watts_at_20c, double alpha_per_k, double rise_k) {
    const double conductance = 1 / nodes.winding_ambient_k_per_w - watts_at_20c * alpha_per_k;
    return -nodes.winding_j_per_k / conductance * std::log(1 - rise_k * conductance / watts_at_20c);
}

// A plan's heat limit once took copper's coefficient for every metal, and the leads' heat for the winding's.
TEST(HeatOf, AluminiumWarmsByItsOwnCoefficient) {
    // Closed form: resistance linear in temperature.
    TransmitterDesign design = aluminium_design();
    const DriveRequest request{.frequency_hz = 60, .tap_index = 2};
    const Transmitter transmitter = prepare(design);
    const OperatingPoint point = point_of(transmitter, request);
    ASSERT_TRUE(point.solved);
    const double watts = point.current.rms_a * point.current.rms_a *
                         transmitter.taps_a[2].resistance_dc_20c_ohm * point.winding_ratio;
    // Half of the final rise, so that the coefficient shows.
    const double final_k =
        watts / (1 / design.thermal.winding_ambient_k_per_w - watts * aluminium_alpha20_per_k);
    ASSERT_GT(final_k, 5);
    design.limits.winding_c = 20 + final_k / 2;
    design.limits.restart_winding_c = 20;
    const auto time_s = time_to_heat_limit_s(prepare(design), request, point, 20, 1e6);
    ASSERT_TRUE(time_s);
    const double expected_s = time_to_rise_s(design.thermal, watts, aluminium_alpha20_per_k, final_k / 2);
    EXPECT_NEAR(*time_s, expected_s, 1e-6 * expected_s);
    const double as_copper_s = time_to_rise_s(design.thermal, watts, copper_alpha20_per_k, final_k / 2);
    EXPECT_GT(std::abs(as_copper_s - expected_s), 1e-5 * expected_s) << "the test tells the metals apart";
}

TEST(HeatOf, EachWindingHasItsOwnMetalAndTheOtherBridgeCounts) {
    TransmitterDesign design = aluminium_design();
    design.loop_b = example_design().loop_a;
    const Transmitter transmitter = prepare(design);
    const DriveRequest request{.frequency_hz = 60, .loop = LoopSelection::both, .tap_index = 2};
    const OperatingPoint point = point_of(transmitter, request);
    ASSERT_TRUE(point.solved);
    const HeatInput a = heat_of(transmitter, request, point, LoopSelection::a),
                    b = heat_of(transmitter, request, point, LoopSelection::b);
    EXPECT_EQ(a.winding_alpha20_per_k, aluminium_alpha20_per_k);
    EXPECT_EQ(b.winding_alpha20_per_k, copper_alpha20_per_k);
    EXPECT_EQ(a.rms_a, point.current.rms_a);
    EXPECT_EQ(b.rms_a, point.current_b.rms_a);
    EXPECT_NEAR(a.electronics_fixed_w - b.electronics_fixed_w,
                (b.rms_a * b.rms_a - a.rms_a * a.rms_a) * a.bridge_r25_ohm, 1e-9)
        << "closed form: the other loop's current through the other bridge";
}

}  // namespace heat_of_test
