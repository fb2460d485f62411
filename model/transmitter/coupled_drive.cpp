#include "model/transmitter/coupled_drive.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

#include "model/base/constants.hpp"
#include "model/base/root.hpp"
#include "model/bridge/coupled_bridges.hpp"

namespace ampturn::model::transmitter {

namespace {

using Pair = std::array<DrivenLoop, 2>;
using Levels = std::array<double, 2>;  // of each fundamental voltage, as a share of full drive's

class CoupledLevel {
  public:
    CoupledLevel(const CoupledCircuits& circuits, double bus_v) : c_(circuits), bus_v_(bus_v) {}

    double duty(std::size_t k, double level) const {
        const LoopCircuit& c = c_.circuit[k];
        if (c.control == bridge::CurrentControl::supply) return c.duty;
        return 2 / pi * std::asin(std::min(1.0, level) * std::sin(pi / 2 * c.duty));
    }
    bool driven(std::size_t k) const { return k == 0 || c_.second_driven; }

    Pair at(const Levels& levels, bool with_harmonics) const {
        bridge::CoupledBridges b{.load = {c_.circuit[0].load, c_.circuit[1].load},
                                 .mutual_h = c_.mutual_h,
                                 .frequency_hz = c_.circuit[0].frequency_hz,
                                 .voltage = {}};
        for (std::size_t k = 0; k < 2; ++k) {
            const LoopCircuit& c = c_.circuit[k];
            bridge::BridgeVoltage& v = b.voltage[k];
            v = {c.frequency_hz, bus_v_, 0, c.dead_time_s};
            if (driven(k) && levels[k] > 0) v.duty = duty(k, levels[k]);
            if (c.control == bridge::CurrentControl::supply) v.bus_v *= levels[k];
        }
        const auto currents = bridge::coupled_steady_state(b, with_harmonics);
        Pair out;
        for (std::size_t k = 0; k < 2; ++k) {
            const LoopCircuit& c = c_.circuit[k];
            out[k].current = currents[k];
            out[k].duty = b.voltage[k].duty;
            out[k].bridge_v = b.voltage[k].bus_v;
            out[k].switching_w = bridge::switching_loss_w(currents[k], b.voltage[k], c.overlap_s);
            out[k].bus_w = currents[k].mean_power_w + out[k].switching_w + c.fixed_w;
        }
        return out;
    }

    // What the two regulators come to, each raising its level below its target and lowering it above.
    Levels regulated(const Levels& target_a) const {
        Levels levels{1, driven(1) ? 1.0 : 0.0};
        std::array<double, 2> full_v{};
        for (std::size_t k = 0; k < 2; ++k)
            full_v[k] = bridge::bridge_voltage_harmonic_v(bus_v_, c_.circuit[k].duty, 1);
        for (int step = 0; step < 400; ++step) {
            const auto currents = bridge::coupled_currents_a(
                {c_.circuit[0].load, c_.circuit[1].load}, c_.mutual_h, c_.circuit[0].frequency_hz,
                {full_v[0] * levels[0], std::complex<double>(0, -full_v[1] * levels[1])});
            double moved = 0;
            for (std::size_t k = 0; k < 2; ++k) {
                if (!driven(k)) continue;
                const double amperes = std::abs(currents[k]);
                const double wanted =
                    amperes > 0 ? std::clamp(levels[k] * std::pow(std::min(1e6, target_a[k] / amperes), 0.8),
                                             0.0, 1.0)
                                : 1.0;
                moved = std::max(moved, std::abs(wanted - levels[k]));
                levels[k] = wanted;
            }
            if (moved < 1e-14) break;
        }
        return levels;
    }

  private:
    const CoupledCircuits& c_;
    double bus_v_;
};

struct PairBound {
    Limit limit;
    double allowed;
    double (*quantity)(const Pair&);
};

template <auto Field>
double larger(const Pair& p) {
    return std::max(p[0].current.*Field, p[1].current.*Field);
}

double fundamental_of_driven(const Pair& p) {
    return std::max(p[0].current.fundamental_peak_a, p[1].duty > 0 ? p[1].current.fundamental_peak_a : 0.0);
}
double bus_w(const Pair& p) { return p[0].bus_w + p[1].bus_w; }

// Lowers both levels by one factor until all bounds hold; the end of each bracket within the limit is taken.
Limit bring_within(const CoupledLevel& drive, const std::array<PairBound, 7>& bounds, Levels& levels,
                   Pair& now, Limit reason) {
    const Levels regulated = levels;
    double factor = 1;
    const auto at = [&](double f) { return drive.at({f * regulated[0], f * regulated[1]}, false); };
    for (int pass = 0; pass < 8; ++pass) {
        double lowest = factor;
        for (const PairBound& b : bounds) {
            const double value = b.quantity(now);
            if (!(value > b.allowed * (1 + 1e-9))) continue;
            const double least = b.quantity(at(0));
            double within = 0;
            if (least < b.allowed) {
                const auto excess = [&](double f) {
                    const double v = b.quantity(at(f)) - b.allowed;
                    if (v <= 0) within = std::max(within, f);
                    return v;
                };
                bracketed_root(excess, 0.0, factor, least - b.allowed, value - b.allowed, 1e-9);
            }
            if (within < lowest) {
                lowest = within;
                reason = b.limit;
            }
        }
        if (lowest == factor) break;
        factor = lowest;
        levels = {factor * regulated[0], factor * regulated[1]};
        now = at(factor);
    }
    return reason;
}

}  // namespace

std::array<DrivenLoop, 2> drive_coupled_within_limits(const CoupledCircuits& circuits, double bus_v,
                                                      const DriveLimits& limits, bool with_harmonics) {
    const CoupledLevel drive(circuits, bus_v);
    const double target = limits.fundamental_peak_a;
    Levels aim{target, target};
    Levels levels = drive.regulated(aim);
    Pair now = drive.at(levels, false);
    // Dead time takes some of the pulses or adds to them: the aim is put right by what it gave.
    if (circuits.circuit[0].dead_time_s > 0 && std::isfinite(target))
        for (int pass = 0; pass < 25; ++pass) {
            double off = 0;
            for (std::size_t k = 0; k < 2; ++k) {
                const double got = now[k].current.fundamental_peak_a;
                if (!drive.driven(k) || !(levels[k] < 1) || !(got > 0)) continue;
                off = std::max(off, std::abs(got / target - 1));
                aim[k] *= target / got;
            }
            if (off < 1e-7) break;
            levels = drive.regulated(aim);
            now = drive.at(levels, false);
        }
    const auto reached = [&](std::size_t k) {
        return !drive.driven(k) || now[k].current.fundamental_peak_a > target * (1 - 1e-5);
    };
    Limit reason = std::isfinite(target) && reached(0) && reached(1) ? Limit::target : Limit::voltage;
    const std::array<PairBound, 7> bounds{{
        {Limit::target, target * (1 + 1e-7), fundamental_of_driven},
        {Limit::rms_current, limits.rms_a, larger<&bridge::BridgeCurrent::rms_a>},
        {Limit::heat, limits.heat_rms_a, larger<&bridge::BridgeCurrent::rms_a>},
        {Limit::peak_current, limits.peak_a, larger<&bridge::BridgeCurrent::peak_a>},
        {Limit::capacitor_voltage, limits.capacitor_peak_v, larger<&bridge::BridgeCurrent::capacitor_peak_v>},
        {Limit::bus_power, limits.bus_power_w, bus_w},
        {Limit::battery_current, limits.battery_current_w, bus_w},
    }};
    reason = bring_within(drive, bounds, levels, now, reason);
    if (with_harmonics) now = drive.at(levels, true);
    for (DrivenLoop& loop : now) loop.limited_by = reason;
    return now;
}

}  // namespace ampturn::model::transmitter
