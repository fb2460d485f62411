#include "model/bridge/stepped_rise.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "model/base/constants.hpp"
#include "tests/model/bridge/simulated_rise.hpp"
#include "tests/outside_check.hpp"

namespace stepped_rise_test {

using namespace ampturn::model;
using namespace ampturn::model::bridge;

std::vector<RiseLevel> even_levels(int levels, int cycles) {
    std::vector<RiseLevel> out;
    for (int n = 0; n < levels; ++n)
        out.push_back({(n + 1.0) / (levels + 1), (n + 1) * cycles / levels - n * cycles / levels});
    return out;
}

BridgeLoad tuned_load(double quality, double resonance_hz) {
    const double inductance = 1.5e-3, omega0 = 2 * pi * resonance_hz;
    return {omega0 * inductance / quality, inductance, 1 / (omega0 * omega0 * inductance)};
}

TEST(SteppedRise, ALoopWithoutCapacitorStartsWithoutOffset) {
    // Closed form: the first pulse is half of one and leaves it just short of the steady peak V/R tanh x, x = R T/4L; the
    // next edge is past it by as little; from there on it comes closer.
    const BridgeLoad loop{0.4, 1.5e-3};
    const BridgeVoltage drive{.frequency_hz = 1000, .bus_v = 24};
    const double x = 0.4 / 1.5e-3 / 4000;
    const double peak_a = rise_peaks(loop, drive, {}).peak_a;
    EXPECT_NEAR(peak_a, 24 / 0.4 * (1 - (2 - std::exp(-x)) * std::exp(-2 * x)), 1e-9);
    EXPECT_NEAR(peak_a, bridge_steady_state(loop, drive).peak_a, x / 2 * peak_a);
}

TEST(SteppedRise, InResonanceNothingPassesItsEnd) {
    // Identity: it ends in the steady state, where its envelope goes as 1 - e^{-t/tau}. Beside resonance it beats.
    for (const double quality : {4.0, 40.0, 150.0}) {
        const BridgeLoad load = tuned_load(quality, 1000);
        const BridgeVoltage drive{.frequency_hz = 1000, .bus_v = 24, .duty = 0.7};
        const BridgeCurrent end = bridge_steady_state(load, drive);
        const RisePeaks rise = rise_peaks(load, drive, even_levels(8, 8));
        EXPECT_NEAR(rise.peak_a, end.peak_a, 2e-4 * end.peak_a) << quality;
        EXPECT_NEAR(rise.capacitor_peak_v, end.capacitor_peak_v, 2e-4 * end.capacitor_peak_v) << quality;
    }
    const BridgeLoad beside = tuned_load(40, 1000);
    const BridgeVoltage drive{.frequency_hz = 1050, .bus_v = 24, .duty = 0.8};
    const BridgeCurrent end = bridge_steady_state(beside, drive);
    const double sudden = rise_peaks(beside, drive, {}).capacitor_peak_v / end.capacitor_peak_v;
    const double slow = rise_peaks(beside, drive, even_levels(8, 80)).capacitor_peak_v / end.capacitor_peak_v;
    EXPECT_GT(sudden, 1.4);
    EXPECT_LT(slow, 1.05);
}

TEST(SteppedRise, AgreesWithSmallSteps) {
    // Independent: the load's equations stepped by the classical Runge-Kutta method, 400 steps between edges.
    const auto stepped = [](const BridgeLoad& load, double f, double duty,
                            const std::vector<RiseLevel>& levels, int cycles_after) {
        double i = 0, v = 0;
        RisePeaks out;
        const auto hold = [&](double volts, double span) {
            constexpr int parts = 400;
            const double h = span / parts;
            const double per_c = load.capacitance_f == no_capacitor ? 0 : 1 / load.capacitance_f;
            const auto slope_i = [&](double a, double u) {
                return (volts - load.resistance_ohm * a - u) / load.inductance_h;
            };
            for (int n = 0; n < parts; ++n) {
                const double a1 = slope_i(i, v), b1 = i * per_c;
                const double a2 = slope_i(i + h / 2 * a1, v + h / 2 * b1), b2 = (i + h / 2 * a1) * per_c;
                const double a3 = slope_i(i + h / 2 * a2, v + h / 2 * b2), b3 = (i + h / 2 * a2) * per_c;
                const double a4 = slope_i(i + h * a3, v + h * b3), b4 = (i + h * a3) * per_c;
                i += h / 6 * (a1 + 2 * a2 + 2 * a3 + a4), v += h / 6 * (b1 + 2 * b2 + 2 * b3 + b4);
                out.peak_a = std::max(out.peak_a, std::abs(i));
                out.capacitor_peak_v = std::max(out.capacitor_peak_v, std::abs(v));
            }
        };
        const auto cycles = [&](double fraction, int count) {
            const double d = 2 / pi * std::asin(fraction * std::sin(pi / 2 * duty));
            for (int n = 0; n < count; ++n)
                for (const auto& [share, quarter] :
                     {std::pair{1.0, d}, {0.0, 2 - 2 * d}, {-1.0, 2 * d}, {0.0, 2 - 2 * d}, {1.0, d}})
                    hold(share * 24, quarter / (4 * f));
        };
        for (const RiseLevel& level : levels) cycles(level.fraction, level.cycles);
        cycles(1, cycles_after);
        return out;
    };
    const auto levels = even_levels(5, 9);
    for (const double resonance : {300.0, 930.0, 1000.0, 1200.0, 3500.0})
        for (const double quality : {0.3, 0.5, 3.0, 25.0}) {
            const BridgeLoad load = tuned_load(quality, resonance);
            const RisePeaks other = stepped(load, 1000, 0.6, levels, 120);
            const RisePeaks ours = rise_peaks(load, {.frequency_hz = 1000, .bus_v = 24, .duty = 0.6}, levels);
            // 1e-4: peaks between steps, and what a ten-thousandth of a level's beginning leaves.
            EXPECT_NEAR(ours.peak_a, other.peak_a, 1e-4 * other.peak_a) << resonance << " Hz, Q " << quality;
            EXPECT_NEAR(ours.capacitor_peak_v, other.capacitor_peak_v, 1e-4 * other.capacitor_peak_v)
                << resonance << " Hz, Q " << quality;
        }
}

TEST(RiseAgainstNgspice, LoopsAndCapacitors) {
    if (!ampturn::test::has_ngspice()) GTEST_SKIP() << "ngspice is not installed";
    // Independent: a circuit simulator stepping through time.
    ampturn::test::OutsideCheck check(
        "peaks while the drive rises",
        "ngspice: a circuit stepped through time, its step halved for its own error", "of the peak");
    struct Case {
        const char* what;
        BridgeLoad load;
        double frequency_hz, duty;
        int levels, cycles;
    };
    const BridgeLoad loop{0.166, 38.3e-6};
    for (const Case& c :
         {Case{"loop, Q 37", loop, 25478, 0.9, 8, 8}, Case{"loop, Q 2", loop, 1400, 0.4, 8, 8},
          Case{"loop, at once", loop, 8500, 0.5, 0, 0},
          Case{"in resonance", tuned_load(10, 1000), 1000, 0.8, 8, 8},
          Case{"5 % above", tuned_load(10, 1000), 1050, 0.8, 8, 8},
          Case{"5 % below", tuned_load(10, 1000), 950, 0.8, 8, 8},
          Case{"30 % above, at once", tuned_load(10, 1000), 1300, 0.8, 0, 0},
          Case{"far below", tuned_load(10, 1000), 310, 0.6, 8, 8},
          Case{"overdamped", tuned_load(0.4, 1000), 1000, 0.8, 8, 8}}) {
        const auto levels = even_levels(c.levels, c.cycles);
        const BridgeVoltage drive{.frequency_hz = c.frequency_hz, .bus_v = 24, .duty = c.duty};
        std::vector<ampturn::test::Pulses> pulses;
        const auto add = [&](double fraction, int cycles) {
            pulses.push_back({2 / pi * std::asin(fraction * std::sin(pi / 2 * c.duty)), cycles});
        };
        for (const RiseLevel& level : levels) add(level.fraction, level.cycles);
        add(1, 36);
        const RisePeaks coarse = ampturn::test::simulate_rise(c.load, drive, pulses, 1);
        const RisePeaks fine = ampturn::test::simulate_rise(c.load, drive, pulses, 2);
        const RisePeaks ours = rise_peaks(c.load, drive, levels);
        const auto compare = [&](const char* name, double RisePeaks::*of) {
            const double own = std::abs(coarse.*of / (fine.*of) - 1);
            EXPECT_LT(own, 0.01) << c.what << ": the simulator itself is unsure";
            check.relative(ours.*of, fine.*of, 2 * own + 5e-5, std::string(c.what) + ": " + name);
        };
        compare("current", &RisePeaks::peak_a);
        if (c.load.capacitance_f != no_capacitor) compare("capacitor", &RisePeaks::capacitor_peak_v);
    }
}

}  // namespace stepped_rise_test
