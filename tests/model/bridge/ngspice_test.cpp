#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <fstream>
#include <vector>

#include "model/base/constants.hpp"
#include "model/bridge/bridge.hpp"
#include "tests/model/bridge/simulated_bridge.hpp"
#include "tests/outside_check.hpp"

namespace ngspice_test {

using namespace ampturn::model;
using namespace ampturn::model::bridge;
using ampturn::test::simulate_bridge;
using ampturn::test::Simulated;

// The simulator twice, the second time with half the step, half the resistance of what conducts and half the
// rise of the gates: what lies between the two is the tool's own error, and what is left in the second is
// less than that.
void agree(ampturn::test::OutsideCheck& check, const char* what, const BridgeLoad& load,
           const BridgeVoltage& v) {
    const Simulated coarse = simulate_bridge(load, v, 1), fine = simulate_bridge(load, v, 2);
    const BridgeCurrent ours = bridge_steady_state(load, v);
    // Full drive's fundamental: what all currents are measured by.
    const double full_a = 4 / pi * v.bus_v / load_impedance_ohm(load, v.frequency_hz);
    const double full_v = full_a / (2 * pi * v.frequency_hz * load.capacitance_f);
    const auto compare = [&](const char* name, double got, double Simulated::*field, double scale) {
        const double own_error = std::abs(coarse.*field - fine.*field);
        // Not finer than the size of a current at rest in the simulator, by its off resistance.
        check.error(std::abs(got - fine.*field) / scale, (2 * own_error + 3e-5 * scale) / scale,
                    std::string(what) + ": " + name);
        EXPECT_LT(own_error, 0.01 * scale) << what << ": the simulator itself is unsure of " << name;
    };
    compare("fundamental", ours.fundamental_peak_a, &Simulated::fundamental_peak_a, full_a);
    compare("rms", ours.rms_a, &Simulated::rms_a, full_a);
    compare("peak", ours.peak_a, &Simulated::peak_a, full_a);
    if (load.capacitance_f != no_capacitor)
        compare("capacitor peak", ours.capacitor_peak_v, &Simulated::capacitor_peak_v, full_v);
    compare("power", ours.mean_power_w, &Simulated::bus_power_w, load.resistance_ohm * full_a * full_a);
}

struct Case {
    const char* what;
    BridgeLoad load;
    BridgeVoltage voltage;
};

void all_agree(const char* what, const std::vector<Case>& cases) {
    if (!ampturn::test::has_ngspice()) GTEST_SKIP() << "ngspice is not installed";
    ampturn::test::OutsideCheck check(
        what, "ngspice: a circuit stepped through time, its step halved for its own error", "of full drive");
    for (const Case& c : cases) agree(check, c.what, c.load, c.voltage);
}

// 1 kHz is the resonance of 1.5 mH and 16.887 uF; Q about 8.
constexpr double tuned_f = 16.887e-6;

TEST(BridgeAgainstNgspice, WithoutDeadTime) {
    // Independent: a circuit simulator stepping through time.
    all_agree("bridge without dead time", {{"loop, square", {1.2, 1.5e-3}, {1000, 24, 1}},
                                           {"loop, quasi-square", {1.2, 1.5e-3}, {1000, 24, 0.4}},
                                           {"loop, slow", {1.2, 1.5e-3}, {100, 24, 0.7}},
                                           {"tuned, square", {1.2, 1.5e-3, tuned_f}, {1000, 24, 1}},
                                           {"tuned, quasi-square", {1.2, 1.5e-3, tuned_f}, {1000, 24, 0.6}},
                                           {"above resonance", {1.2, 1.5e-3, tuned_f}, {1300, 24, 0.8}},
                                           {"below resonance", {1.2, 1.5e-3, tuned_f}, {800, 24, 0.8}},
                                           {"far below resonance", {1.2, 1.5e-3, tuned_f}, {130, 24, 0.5}},
                                           {"overdamped", {40, 1.5e-3, tuned_f}, {1000, 24, 0.8}}});
}

TEST(BridgeAgainstNgspice, DeadTimeAndALoop) {
    // Independent: a circuit simulator stepping through time.
    all_agree("bridge with dead time", {{"continuous", {1.2, 1.5e-3}, {1000, 24, 1, 20e-6}},
                                        {"continuous, quasi-square", {1.2, 1.5e-3}, {1000, 24, 0.6, 20e-6}},
                                        {"rests at zero", {6, 2e-5}, {20000, 24, 1, 5e-6}},
                                        {"rests at zero, quasi-square", {6, 2e-5}, {20000, 24, 0.7, 5e-6}},
                                        {"edges within one dead time", {6, 2e-5}, {20000, 24, 0.9, 5e-6}},
                                        {"hardly any pulse", {1.2, 1.5e-3}, {1000, 24, 0.14, 60e-6}},
                                        {"no pulse", {1.2, 1.5e-3}, {1000, 24, 0.1, 60e-6}}});
}

TEST(BridgeAgainstNgspice, DeadTimeAndACapacitor) {
    // Independent: a circuit simulator stepping through time.
    std::vector<Case> cases{{"leads, square", {1.2, 1.5e-3, tuned_f}, {800, 24, 1, 25e-6}},
                            {"lags, square", {1.2, 1.5e-3, tuned_f}, {1300, 24, 1, 25e-6}},
                            {"leads, quasi-square", {1.2, 1.5e-3, tuned_f}, {700, 24, 0.9, 25e-6}},
                            {"lags, quasi-square", {1.2, 1.5e-3, tuned_f}, {1300, 24, 0.9, 25e-6}},
                            {"both edges wait or not", {1.2, 1.5e-3, tuned_f}, {1000, 24, 0.6, 25e-6}},
                            {"edges within one dead time", {1.2, 1.5e-3, tuned_f}, {1010, 24, 0.98, 25e-6}},
                            {"rests at zero", {12, 1.5e-3, tuned_f}, {1000, 24, 0.7, 60e-6}},
                            {"rests, overdamped", {40, 1.5e-3, tuned_f}, {700, 24, 0.8, 60e-6}},
                            {"rests, square", {12, 1.5e-3, tuned_f}, {1100, 24, 1, 60e-6}},
                            {"rings freely below", {1.2, 1.5e-3, tuned_f}, {150, 24, 0.5, 60e-6}},
                            {"hardly any pulse", {1.2, 1.5e-3, tuned_f}, {1000, 24, 0.14, 60e-6}},
                            {"no pulse", {1.2, 1.5e-3, tuned_f}, {1000, 24, 0.1, 60e-6}}};
    // The current's zero wanders through the dead time of one edge, then of the other.
    for (const double f : {960.0, 980.0, 995.0, 1000.0, 1005.0, 1020.0, 1050.0})
        cases.push_back({"square near resonance", {1.2, 1.5e-3, tuned_f}, {f, 24, 1, 40e-6}});
    for (const double f : {920.0, 940.0, 960.0, 1030.0, 1050.0, 1080.0})
        cases.push_back({"quasi-square near resonance", {1.2, 1.5e-3, tuned_f}, {f, 24, 0.75, 40e-6}});
    all_agree("bridge with dead time and a capacitor", cases);
}

}  // namespace ngspice_test
