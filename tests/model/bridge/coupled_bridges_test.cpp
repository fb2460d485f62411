#include "model/bridge/coupled_bridges.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "model/base/constants.hpp"
#include "tests/model/bridge/simulated_coupled_bridges.hpp"
#include "tests/outside_check.hpp"

namespace coupled_bridges_test {

using namespace ampturn::model;
using namespace ampturn::model::bridge;
using ampturn::test::Simulated;

// Two like loads near resonance; coupling as of equal squares 85 and 80 degrees apart.
CoupledBridges like_loads(double coupling, double frequency_hz, double capacitance_f) {
    const BridgeLoad load{1.2, 1.5e-3, capacitance_f};
    return {.load = {load, load},
            .mutual_h = coupling * load.inductance_h,
            .frequency_hz = frequency_hz,
            .voltage = {{{.frequency_hz = frequency_hz, .bus_v = 24, .duty = 0.8},
                         {.frequency_hz = frequency_hz, .bus_v = 24, .duty = 0.6}}}};
}

TEST(CoupledBridges, WithoutCouplingAreTwoBridges) {
    // Independent: the piecewise exponential solution of one bridge.
    for (const double capacitance_f : {no_capacitor, 16.887e-6})
        for (const double f : {200.0, 900.0, 1000.0, 1700.0}) {
            const CoupledBridges b = like_loads(0, f, capacitance_f);
            const auto got = coupled_steady_state(b);
            for (std::size_t k = 0; k < 2; ++k) {
                BridgeVoltage v = b.voltage[k];
                const BridgeCurrent one = bridge_steady_state(b.load[k], v);
                const double scale = 4 / pi * v.bus_v / load_impedance_ohm(b.load[k], f);
                EXPECT_NEAR(got[k].fundamental_peak_a, one.fundamental_peak_a, 1e-12 * scale);
                EXPECT_NEAR(got[k].fundamental_phase_rad, one.fundamental_phase_rad, 1e-12);
                // 1e-5: what the harmonics left out carry.
                EXPECT_NEAR(got[k].rms_a, one.rms_a, 1e-5 * scale);
                EXPECT_NEAR(got[k].peak_a, one.peak_a, 3e-5 * scale) << f << " Hz, " << k;
                EXPECT_NEAR(got[k].rising_edge_a, one.rising_edge_a, 3e-5 * scale);
                EXPECT_NEAR(got[k].falling_edge_a, one.falling_edge_a, 3e-5 * scale);
                EXPECT_NEAR(got[k].mean_power_w, one.mean_power_w, 2e-5 * one.mean_power_w);
                EXPECT_NEAR(got[k].harmonic_peak_a[3], one.harmonic_peak_a[3], 1e-12 * scale);
                // Infinite where there is none, and both 0.
                EXPECT_NEAR(got[k].capacitor_peak_v, one.capacitor_peak_v,
                            1e-4 * scale / (2 * pi * f * std::min(capacitance_f, 1.0)));
            }
        }
}

TEST(CoupledBridges, DeadTimeIsRightToItsFirstOrder) {
    // Independent: the exact solution of one bridge with dead time, without coupling. 1 % dead time at each edge.
    for (const double capacitance_f : {no_capacitor, 16.887e-6})
        for (const double f : {700.0, 980.0, 1000.0, 1300.0}) {
            CoupledBridges b = like_loads(0, f, capacitance_f);
            for (BridgeVoltage& v : b.voltage) v.dead_time_s = 0.005 / f;
            const auto got = coupled_steady_state(b);
            for (std::size_t k = 0; k < 2; ++k) {
                const BridgeCurrent one = bridge_steady_state(b.load[k], b.voltage[k]);
                const double scale = 4 / pi * 24 / load_impedance_ohm(b.load[k], f);
                // 2 f dead = 1 % of full drive: the header's bound.
                EXPECT_NEAR(got[k].fundamental_peak_a, one.fundamental_peak_a, 0.01 * scale)
                    << f << " Hz, bridge " << k;
                EXPECT_NEAR(got[k].rms_a, one.rms_a, 0.01 * scale);
            }
        }
}

TEST(CoupledBridges, PowerPassesBetweenThemAndIsKept) {
    const CoupledBridges b = like_loads(0.1, 1000, 16.887e-6);
    const auto got = coupled_steady_state(b);
    double lost_w = 0;
    for (std::size_t k = 0; k < 2; ++k) lost_w += b.load[k].resistance_ohm * got[k].rms_a * got[k].rms_a;
    EXPECT_NEAR(got[0].mean_power_w + got[1].mean_power_w, lost_w, 1e-9 * lost_w)
        << "closed form: inductances and capacitors keep nothing";
    EXPECT_GT(std::abs(got[0].mean_power_w - b.load[0].resistance_ohm * got[0].rms_a * got[0].rms_a),
              0.05 * lost_w);
}

TEST(CoupledBridges, InResonanceTheCouplingTimesQualityDecides) {
    // Closed form at resonance, w M = x R, equal fundamentals V a quarter period apart: I1 = V (1 - x)/(R (1 + x^2)),
    // I2 = V (1 + x)/(R (1 + x^2)), from (R + jx) matrix with v2 = -j v1.
    const double omega0 = 1 / std::sqrt(1.5e-3 * 16.887e-6);
    const double x = 0.4, r = 1.2, volts = 30;
    const auto i =
        coupled_currents_a({BridgeLoad{r, 1.5e-3, 16.887e-6}, BridgeLoad{r, 1.5e-3, 16.887e-6}},
                           x * r / omega0, omega0 / (2 * pi), {volts, std::complex<double>(0, -volts)});
    EXPECT_NEAR(std::abs(i[0]), volts / r * (1 - x) / (1 + x * x), 1e-9);
    EXPECT_NEAR(std::abs(i[1]), volts / r * (1 + x) / (1 + x * x), 1e-9);
}

// The simulator twice, the second time at half the step and rise: what lies between is its own error.
void agree(ampturn::test::OutsideCheck& check, const std::string& what, const CoupledBridges& b) {
    const auto coarse = ampturn::test::simulate_coupled(b, 1), fine = ampturn::test::simulate_coupled(b, 2);
    const auto ours = coupled_steady_state(b);
    for (std::size_t k = 0; k < 2; ++k) {
        const double full_a = std::max(fine[0].fundamental_peak_a, fine[1].fundamental_peak_a);
        const auto compare = [&](const char* name, double got, double Simulated::*field, double scale) {
            const double own_error = std::abs(coarse[k].*field - fine[k].*field);
            check.error(std::abs(got - fine[k].*field) / scale, 2 * own_error / scale + 5e-5,
                        what + ", bridge " + std::to_string(k) + ": " + name);
            EXPECT_LT(own_error, 0.01 * scale) << what << ": the simulator itself is unsure of " << name;
        };
        compare("fundamental", ours[k].fundamental_peak_a, &Simulated::fundamental_peak_a, full_a);
        compare("rms", ours[k].rms_a, &Simulated::rms_a, full_a);
        compare("peak", ours[k].peak_a, &Simulated::peak_a, full_a);
        if (b.load[k].capacitance_f != no_capacitor)
            compare("capacitor peak", ours[k].capacitor_peak_v, &Simulated::capacitor_peak_v,
                    full_a / (2 * pi * b.frequency_hz * b.load[k].capacitance_f));
        compare("power", ours[k].mean_power_w, &Simulated::bus_power_w,
                b.load[k].resistance_ohm * full_a * full_a);
    }
}

TEST(CoupledBridgesAgainstNgspice, BothLiveAndOneIdle) {
    if (!ampturn::test::has_ngspice()) GTEST_SKIP() << "ngspice is not installed";
    ampturn::test::OutsideCheck check(
        "coupled bridges", "ngspice: a circuit stepped through time, its step halved for its own error",
        "of full current");
    // Independent: a circuit simulator stepping through time. 0.013 and 0.17: equal squares 85 and, for a long wire
    // wound close, some 80 degrees apart; 0.4: more than any crossed loops have.
    for (const double coupling : {-0.013, 0.013, 0.17, 0.4})
        for (const double f : {150.0, 800.0, 1000.0, 1300.0}) {
            const std::string what = std::to_string(coupling) + " at " + std::to_string(f) + " Hz";
            agree(check, "tuned, " + what, like_loads(coupling, f, 16.887e-6));
            CoupledBridges idle = like_loads(coupling, f, 16.887e-6);
            idle.voltage[1].duty = 0;
            agree(check, "idle but closed, " + what, idle);
        }
    agree(check, "without capacitors", like_loads(0.17, 1000, no_capacitor));
    CoupledBridges unlike = like_loads(0.1, 1000, 16.887e-6);
    unlike.load[1] = {3, 4e-3, 5e-6};
    agree(check, "unlike loops", unlike);
}

}  // namespace coupled_bridges_test
