#include "model/transmitter/operating_point.hpp"
#include "model/transmitter/best_choice.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/transmitter/heat_of.hpp"
#include "model/transmitter/steady_point.hpp"
#include "tests/model/transmitter/example_transmitter.hpp"

namespace operating_point_test {

using namespace ampturn::model::bridge;
using namespace ampturn::model::loop;
using namespace ampturn::model::transmitter;

Conditions conditions(const Transmitter& transmitter, double soc = 0.9) {
    Conditions at;
    at.battery = battery_source(transmitter.design.battery, soc, 20);
    return at;
}

std::vector<TransmitterDesign> designs() {
    std::vector<TransmitterDesign> out;
    TransmitterDesign d = example_design();
    out.push_back(d);
    d.driver.control = CurrentControl::latched;
    d.limits.peak_a = 8;
    d.capacitors.clear();
    out.push_back(d);
    d.driver.control = CurrentControl::clamp;
    out.push_back(d);
    d = example_design();
    d.supply = {.converter = true, .bus_v = 48, .efficiency = 0.92, .standby_w = 1, .wiring_ohm = 0.02};
    d.limits.battery_a = 10;
    out.push_back(d);
    d.driver.control = CurrentControl::supply;
    out.push_back(d);
    d = example_design();
    d.limits.battery_a = 3;
    d.supply.wiring_ohm = 0.05;
    d.driver.dead_time_s = 1e-6;
    out.push_back(d);
    d = example_design();
    d.limits.bus_power_w = 40;
    d.driver.duty = 0.7;
    out.push_back(d);
    return out;
}

TEST(OperatingPoint, EnergyOfTheWholeChainBalances) {
    // Battery out = copper + bridge + switching + fixed + converter + wiring; chemical = that + inside the battery.
    for (const TransmitterDesign& d : designs()) {
        const Transmitter transmitter = prepare(d);
        const Conditions at = conditions(transmitter);
        for (const double f : {20.0, 333.0, 1900.0, 21000.0})
            for (int c = -1; c < static_cast<int>(d.capacitors.size()); ++c) {
                const OperatingPoint p = solve_operating_point(
                    transmitter, at, {.frequency_hz = f, .tap_index = 1, .capacitor_index = c});
                ASSERT_TRUE(p.solved);
                const PowerBalance& w = p.power;
                const double parts =
                    w.copper_w + w.bridge_w + w.switching_w + w.fixed_w + w.converter_w + w.wiring_w;
                EXPECT_NEAR(w.battery_w, parts, 1e-9 * w.battery_w) << f << " " << c;
                EXPECT_NEAR(at.battery.ocv_v * p.battery_a, w.battery_w + w.internal_w, 1e-9 * w.battery_w);
                // And the loop's heat is the electrical power in: sum over harmonics, independent of the waveform.
                EXPECT_NEAR(p.current.mean_power_w, w.copper_w + w.bridge_w, 1e-9 * w.battery_w);
            }
    }
}

TEST(OperatingPoint, HoldsEveryLimitAndNamesIt) {
    // Definition: the limit named is met, the others are kept.
    for (const TransmitterDesign& d : designs()) {
        const Transmitter transmitter = prepare(d);
        const Conditions at = conditions(transmitter);
        for (const double f : {20.0, 333.0, 5032.0, 21000.0})
            for (const double target : {no_limit, 2.0})
                for (int c = -1; c < static_cast<int>(d.capacitors.size()); ++c) {
                    const OperatingPoint p = solve_operating_point(transmitter, at,
                                                                   {.frequency_hz = f,
                                                                    .fundamental_peak_a = target,
                                                                    .tap_index = 1,
                                                                    .capacitor_index = c});
                    ASSERT_TRUE(p.solved);
                    EXPECT_LE(p.current.rms_a, d.limits.rms_a * (1 + 1e-9));
                    EXPECT_LE(p.current.peak_a, d.limits.peak_a * (1 + 1e-9));
                    EXPECT_LE(p.battery_a, d.limits.battery_a * (1 + 1e-9));
                    EXPECT_LE(p.current.fundamental_peak_a, target * (1 + 1e-9));
                    const double rated_v =
                        c < 0 ? no_limit : d.capacitors[static_cast<std::size_t>(c)].rated_peak_v;
                    EXPECT_LE(p.current.capacitor_peak_v, rated_v * (1 + 1e-9));
                    const auto binds = [&p](Limit limit, double value, double allowed) {
                        if (p.limited_by != limit) return;
                        EXPECT_NEAR(value, allowed, 1e-6 * allowed) << name_of(limit);
                    };
                    binds(Limit::target, p.current.fundamental_peak_a, target);
                    binds(Limit::rms_current, p.current.rms_a, d.limits.rms_a);
                    binds(Limit::peak_current, p.current.peak_a, d.limits.peak_a);
                    binds(Limit::capacitor_voltage, p.current.capacitor_peak_v, rated_v);
                    binds(Limit::battery_current, p.battery_a, d.limits.battery_a);
                    binds(Limit::bus_power, p.power.bus_w(), d.limits.bus_power_w);
                }
    }
}

TEST(OperatingPoint, HoldsItsLimitsWhereTheCurrentPassesThroughZeroInTheDeadTime) {
    // Definition: no limit is passed and the one named is met, all through resonance.
    TransmitterDesign d = example_design();
    d.loop_b.reset();
    d.supply = {.converter = true, .bus_v = 48, .efficiency = 0.92};
    d.driver.dead_time_s = 3e-6;
    d.capacitors = {{1e-6, 0.05, 500, 1e6, 0.01}};
    const Transmitter transmitter = prepare(d);
    const Conditions at = conditions(transmitter);
    int by_capacitor = 0, met = 0;
    for (const double target : {no_limit, 4.0, 2.0, 0.7})
        for (double f = 4000; f < 12000; f *= 1.004) {
            const OperatingPoint p = solve_operating_point(
                transmitter, at,
                {.frequency_hz = f, .fundamental_peak_a = target, .tap_index = 1, .capacitor_index = 0});
            ASSERT_TRUE(p.solved);
            EXPECT_LE(p.current.capacitor_peak_v, 500 * (1 + 1e-12)) << f;
            EXPECT_LE(p.current.rms_a, d.limits.rms_a * (1 + 1e-12)) << f;
            EXPECT_LE(p.current.fundamental_peak_a, target * (1 + 1e-9)) << f;
            if (p.limited_by == Limit::capacitor_voltage) {
                EXPECT_NEAR(p.current.capacitor_peak_v, 500, 1e-8) << f;
                ++by_capacitor;
            } else if (p.limited_by == Limit::target) {
                EXPECT_NEAR(p.current.fundamental_peak_a, target, 1e-9) << f;
                ++met;
            }
        }
    EXPECT_GT(by_capacitor, 20);
    EXPECT_GT(met, 100);
}

TEST(OperatingPoint, BusSagClosedForm) {
    // Closed form:
    // Full drive without limits: the load is a conductance, P = a V^2 + p0, and V = E - R (a V + p0/V) is a
    // quadratic.
    TransmitterDesign d = example_design();
    d.limits.rms_a = no_limit;
    d.driver.overlap_s = 0;
    const Transmitter transmitter = prepare(d);
    const Conditions at = conditions(transmitter);
    const OperatingPoint p = solve_operating_point(transmitter, at, {.frequency_hz = 50, .tap_index = 0});
    const double a = p.current.mean_power_w / (p.bus_v * p.bus_v);
    const double r = at.battery.resistance_ohm, e = at.battery.ocv_v, p0 = p.power.fixed_w;
    const double v = (e + std::sqrt(e * e - 4 * (1 + r * a) * r * p0)) / (2 * (1 + r * a));
    EXPECT_NEAR(p.bus_v, v, 1e-10 * v);
    EXPECT_EQ(p.limited_by, Limit::voltage);
}

TEST(OperatingPoint, NoSolutionSaysHowFar) {
    // Closed form of the shortfall, below.
    TransmitterDesign d = example_design();
    d.supply = {.converter = true, .bus_v = 400, .efficiency = 0.9};
    d.limits.rms_a = 100;
    const Transmitter transmitter = prepare(d);
    Conditions at = conditions(transmitter);
    at.battery.resistance_ohm = 0.5;
    const OperatingPoint p = solve_operating_point(transmitter, at, {.frequency_hz = 20, .tap_index = 1});
    EXPECT_FALSE(p.solved);
    EXPECT_EQ(p.limited_by, Limit::battery_power);
    EXPECT_EQ(p.current.rms_a, 0);
    // Asked: bus power / efficiency; deliverable E^2/4R.
    const BridgeLoad load{p.total_resistance_ohm, p.loop_inductance_h};
    const BridgeCurrent full = bridge_steady_state(load, {20, 400});
    ASSERT_GT(full.rms_a, 100);  // so it is held to its 100 A
    const double bus = p.total_resistance_ohm * 100 * 100 + d.driver.quiescent_w;
    EXPECT_NEAR(p.shortfall, bus / 0.9 - at.battery.ocv_v * at.battery.ocv_v / (4 * 0.5), 0.02 * bus)
        << full.rms_a;
}

TEST(OperatingPoint, WarmCopperAndLowBatteryLowerTheCurrent) {
    const Transmitter transmitter = example_transmitter();
    Conditions at = conditions(transmitter);
    const DriveRequest q{.frequency_hz = 100, .tap_index = 2};
    const double cold = solve_operating_point(transmitter, at, q).current.fundamental_peak_a;
    at.winding_c = {80, 80};
    const double warm = solve_operating_point(transmitter, at, q).current.fundamental_peak_a;
    at.battery = battery_source(transmitter.design.battery, 0.1, 20);
    const double low = solve_operating_point(transmitter, at, q).current.fundamental_peak_a;
    EXPECT_LT(warm, cold);
    EXPECT_LT(low, warm);
}

TEST(OperatingPoint, BestChoiceEqualsExhaustiveSearch) {
    // Independent: the exhaustive search against the pruned one.
    TransmitterDesign d = example_design();
    d.loop_a.taps = {1, 2, 3, 5, 7, 10};
    d.loop_b.reset();
    d.capacitors.clear();
    for (int i = 0; i < 12; ++i) d.capacitors.push_back({1e-9 * std::pow(4.0, i), 0.05, 800, 1e6, 0.02});
    for (const bool converter : {false, true}) {
        if (converter) d.supply = {.converter = true, .bus_v = 60, .efficiency = 0.92};
        const Transmitter transmitter = prepare(d);
        const Conditions at = conditions(transmitter);
        for (double f = 15; f < 60e3; f *= 2.3) {
            double most = 0;
            DriveRequest q{.frequency_hz = f};
            for (q.tap_index = 0; q.tap_index < 6; ++q.tap_index)
                for (q.capacitor_index = -1; q.capacitor_index < 12; ++q.capacitor_index)
                    most = std::max(most, solve_operating_point(transmitter, at, q, false).moment_peak_a_m2);
            const BestChoice best = best_tap_and_capacitor(transmitter, at, {.frequency_hz = f});
            EXPECT_NEAR(best.point.moment_peak_a_m2, most, 1e-8 * most) << f;
            EXPECT_LE(best.evaluated, 6 * 13);
        }
    }
}

TEST(OperatingPoint, FewerTurnsWinAtHighFrequency) {
    // Untuned moment falls as V A/(omega L) with L ~ N^2: closed form of the trend.
    TransmitterDesign d = example_design();
    d.capacitors.clear();
    const Transmitter transmitter = prepare(d);
    const Conditions at = conditions(transmitter);
    EXPECT_EQ(best_tap_and_capacitor(transmitter, at, {.frequency_hz = 10}).tap_index, 2);
    EXPECT_EQ(best_tap_and_capacitor(transmitter, at, {.frequency_hz = 20000}).tap_index, 0);
}

TEST(BestChoice, HoldsHeatForEverTapByTap) {
    // Law: what is chosen as lasting for ever settles below the limits, at every frequency; without that it passes them.
    TransmitterDesign d = example_design();
    d.thermal.winding_ambient_k_per_w *= 4;
    const Transmitter transmitter = prepare(d);
    const Conditions at = conditions(transmitter);
    int passed = 0;
    for (const double f : {10.0, 300.0, 3000.0}) {
        DriveRequest request{.frequency_hz = f};
        const auto settles_c = [&](const BestChoice& best) {
            DriveRequest chosen = request;
            chosen.tap_index = best.tap_index;
            const HeatInput heat = heat_of(transmitter, chosen, best.point, LoopSelection::a);
            const auto steady = steady_temperatures(transmitter.design.thermal, heat, 30);
            return steady ? steady->winding_c : 1e9;
        };
        passed += settles_c(best_tap_and_capacitor(transmitter, at, request)) > d.limits.winding_c + 1;
        request.hold_heat_at_c = 30;
        const BestChoice lasting = best_tap_and_capacitor(transmitter, at, request);
        EXPECT_LE(settles_c(lasting), d.limits.winding_c + 1)
            << f << " Hz; switching and harmonics are not in it";
        EXPECT_GT(lasting.point.moment_peak_a_m2, 0);
    }
    EXPECT_GT(passed, 0);
}

TEST(OperatingPoint, HeatLimitHoldsTheSteadyTemperature) {
    // Identity: the steady temperatures at the limiting current are the limits.
    const Transmitter transmitter = example_transmitter();
    const LoopTap& tap = transmitter.taps_a[2];
    const double rms = heat_limited_rms_a(transmitter, tap, 100, 30, 1);
    HeatInput q{};
    q.rms_a = rms;
    q.winding_r20_ohm = tap.resistance_dc_20c_ohm *
                        loop_impedance(tap, transmitter.design.limits.winding_c, 100).resistance_ratio;
    q.winding_alpha20_per_k = copper_alpha20_per_k;
    q.bridge_r25_ohm = 2 * transmitter.design.driver.rds_on_25c_ohm;
    q.bridge_beta25_per_k = transmitter.design.driver.rds_on_beta_per_k;
    q.electronics_fixed_w =
        transmitter.design.driver.quiescent_w + 400 * transmitter.design.driver.gate_energy_j;
    const auto steady = steady_temperatures(transmitter.design.thermal, q, 30);
    ASSERT_TRUE(steady);
    EXPECT_NEAR(std::max(steady->winding_c - transmitter.design.limits.winding_c,
                         steady->electronics_c - transmitter.design.limits.electronics_c),
                0, 1e-6);
}

TEST(SteadyPoint, CurrentAndHeatAgree) {
    // Identity: the heat balance of the winding.
    const Transmitter transmitter = example_transmitter();
    const Conditions at = conditions(transmitter);
    const DriveRequest q{.frequency_hz = 60, .tap_index = 2};
    const SteadyPoint s = steady_operating_point(transmitter, at, q, 20);
    ASSERT_TRUE(s.settled);
    EXPECT_GT(s.temperatures.winding_c, 25);
    // Balance of the winding: copper heat out through its resistance to the air (no link here).
    const double winding_w = s.point.current.rms_a * s.point.current.rms_a *
                             (s.point.loop_resistance_ohm - transmitter.taps_a[2].lead_resistance_ohm);
    EXPECT_NEAR((s.temperatures.winding_c - 20) / transmitter.design.thermal.winding_ambient_k_per_w,
                winding_w, 1e-6 * winding_w);
    EXPECT_LT(s.point.current.fundamental_peak_a,
              solve_operating_point(transmitter, at, q).current.fundamental_peak_a);
}

TEST(SteadyPoint, RunawayIsRefused) {
    TransmitterDesign d = example_design();
    d.thermal.winding_ambient_k_per_w = 20;
    d.supply = {.converter = true, .bus_v = 400, .efficiency = 1};
    d.battery.parallel = 20;
    const Transmitter transmitter = prepare(d);
    EXPECT_FALSE(
        steady_operating_point(transmitter, conditions(transmitter), {.frequency_hz = 60, .tap_index = 2}, 20)
            .settled);
}

TEST(OperatingPoint, CapacitorDischarge) {
    const SeriesCapacitor c{1e-6, 0.05, 2000, 1e6, 0};
    EXPECT_NEAR(*discharge_time_s(c, 1000, 50), std::log(20.0), 1e-12) << "closed form";
    EXPECT_EQ(*discharge_time_s(c, 40, 50), 0);
    EXPECT_FALSE(discharge_time_s({.capacitance_f = 1e-6}, 1000, 50));
}

TEST(Transmitter, RefusesWhatCannotBe) {
    const auto refused = [](auto change) {
        TransmitterDesign d = example_design();
        change(d);
        EXPECT_THROW(prepare(d), std::invalid_argument);
    };
    refused([](TransmitterDesign& d) { d.loop_a.taps.clear(); });
    refused([](TransmitterDesign& d) { d.battery.block.available_fraction = 1.5; });
    refused([](TransmitterDesign& d) { d.driver.control = CurrentControl::clamp; });
    refused([](TransmitterDesign& d) { d.driver.control = CurrentControl::latched; });
    refused([](TransmitterDesign& d) { d.driver.control = CurrentControl::supply; });
    refused([](TransmitterDesign& d) { d.capacitors[0].capacitance_f = 0; });
    refused([](TransmitterDesign& d) { d.thermal.winding_j_per_k = -1; });
    refused([](TransmitterDesign& d) { d.limits.rms_a = std::nan(""); });
    refused([](TransmitterDesign& d) { d.supply = {.converter = true, .bus_v = 24, .efficiency = 1.2}; });
}

}  // namespace operating_point_test
