#include "model/bridge/bridge.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/bridge/bridge_modes.hpp"

namespace ampturn::model::bridge {

namespace {

using Complex = std::complex<double>;

void fill_harmonics(const BridgeLoad& load, const BridgeVoltage& v, BridgeCurrent& out, bool all) {
    const double omega = 2 * pi * v.frequency_hz;
    const double reactance = omega * load.inductance_h - 1 / (omega * load.capacitance_f);
    out.fundamental_phase_rad = -std::atan2(reactance, load.resistance_ohm);
    out.fundamental_peak_a =
        bridge_voltage_harmonic_v(v.bus_v, v.duty, 1) / std::hypot(load.resistance_ohm, reactance);
    if (!all) return;
    for (int slot = 0; slot < harmonic_slots; ++slot) {
        const int n = 2 * slot + 1;
        out.harmonic_peak_a[static_cast<std::size_t>(slot)] =
            std::abs(bridge_voltage_harmonic_v(v.bus_v, v.duty, n)) /
            load_impedance_ohm(load, n * v.frequency_hz);
    }
}

// Harmonics of a voltage that is not quasi-square: levels held on [edge, next edge] of the half period.
struct Level {
    double from_s, to_s, volts;
};
void fill_harmonics(const BridgeLoad& load, double frequency_hz, const Level* levels, int count,
                    BridgeCurrent& out) {
    const double half = 0.5 / frequency_hz;
    for (int slot = 0; slot < harmonic_slots; ++slot) {
        const int n = 2 * slot + 1;
        const double omega = 2 * pi * frequency_hz * n;
        Complex v = 0;  // integral of v e^{-j w t} over the half period; the amplitude is 4/T of it
        for (int i = 0; i < count; ++i) {
            const double mid = (levels[i].from_s + levels[i].to_s) / 2;
            const double span = levels[i].to_s - levels[i].from_s;
            // The sine may be negative, which std::polar does not take as a size.
            v += levels[i].volts * (2 / omega * std::sin(omega * span / 2)) * std::polar(1.0, -omega * mid);
        }
        out.harmonic_peak_a[static_cast<std::size_t>(slot)] =
            2 * std::abs(v) / half / load_impedance_ohm(load, n * frequency_hz);
    }
    out.fundamental_peak_a = out.harmonic_peak_a[0];
    const double omega = 2 * pi * frequency_hz;
    out.fundamental_phase_rad = -std::atan2(omega * load.inductance_h, load.resistance_ohm);
}

// R-L with a dead time in which the current reaches zero: it stays there until the dead time ends.
BridgeCurrent zero_interval_state(const BridgeLoad& load, const BridgeVoltage& v) {
    const double half = 0.5 / v.frequency_hz;
    const double rate = load.resistance_ohm / load.inductance_h;
    const double settled = v.bus_v / load.resistance_ohm;
    const double on = v.duty * half;
    const double off = half - on;
    BridgeCurrent out;
    out.zero_interval = true;
    out.falling_edge_a = -settled * std::expm1(-rate * (on - v.dead_time_s));
    out.rising_edge_a = -out.falling_edge_a * std::exp(-rate * off);
    out.peak_a = out.falling_edge_a;
    const double zero_at = std::log1p(-out.rising_edge_a / settled) / rate;
    out.diode_time_s = zero_at;
    const double squares = mode_squares(rate, out.rising_edge_a, settled, zero_at) +
                           mode_squares(rate, 0, settled, on - v.dead_time_s) +
                           mode_squares(rate, out.falling_edge_a, 0, off);
    out.rms_a = std::sqrt(squares / half);
    const Level levels[] = {{0, zero_at, v.bus_v}, {v.dead_time_s, on, v.bus_v}};
    fill_harmonics(load, v.frequency_hz, levels, 2, out);
    return out;
}

}  // namespace

double bridge_voltage_harmonic_v(double bus_v, double duty, int n) {
    // sin(n pi D/2) with the argument brought near zero first, so that D = 2/3 leaves no third harmonic and D
    // = 1 is exact.
    const double quarter_turns = n * duty;
    const double nearest = std::round(quarter_turns / 2) * 2;
    const double sign = std::fmod(std::abs(nearest), 4.0) == 2.0 ? -1 : 1;
    return 4 * bus_v / (pi * n) * sign * std::sin(pi / 2 * (quarter_turns - nearest));
}

double load_impedance_ohm(const BridgeLoad& load, double frequency_hz) {
    const double omega = 2 * pi * frequency_hz;
    return std::hypot(load.resistance_ohm, omega * load.inductance_h - 1 / (omega * load.capacitance_f));
}

BridgeCurrent bridge_steady_state(const BridgeLoad& load, const BridgeVoltage& voltage, bool with_harmonics) {
    BridgeVoltage v = voltage;
    BridgeCurrent out;
    if (v.bus_v <= 0 || v.duty <= 0) return out;
    // The second leg's switch opens before the first leg's has closed: only diodes conduct, and these take
    // energy out of the load until none is left.
    if (v.dead_time_s > 0 && v.duty * 0.5 / v.frequency_hz <= v.dead_time_s) return out;
    solve_modes(load, v, out);
    if (v.dead_time_s > 0) {
        const double half = 0.5 / v.frequency_hz;
        if (load.capacitance_f == no_capacitor) {
            // The diode carries the current on into the new polarity; does it run dry before the dead time ends?
            const double settled = v.bus_v / load.resistance_ohm;
            const double zero_at = std::log1p(std::max(0.0, -out.rising_edge_a) / settled) *
                                   load.inductance_h / load.resistance_ohm;
            if (zero_at < v.dead_time_s) {
                out = zero_interval_state(load, v);
                out.mean_power_w = load.resistance_ohm * out.rms_a * out.rms_a;
                return out;
            }
        } else {
            // An edge that finds the current in the diode of the old state waits for the dead time; leading
            // current delays the rising edge, current below zero at the falling edge delays that one.
            const double rising_late = out.rising_edge_a > 0 ? v.dead_time_s : 0;
            const double falling_late = out.falling_edge_a < 0 ? v.dead_time_s : 0;
            const double duty = std::clamp(v.duty + (falling_late - rising_late) / half, 0.0, 1.0);
            if (v.duty < 1 && duty != v.duty) {
                v.duty = duty;
                out = {};
                if (duty <= 0) return out;
                solve_modes(load, v, out);
            }
        }
        out.diode_time_s = v.dead_time_s;
    }
    fill_harmonics(load, v, out, with_harmonics);
    out.mean_power_w = load.resistance_ohm * out.rms_a * out.rms_a;
    return out;
}

BridgeCurrent clamped_state(const BridgeLoad& load, double frequency_hz, double bus_v, double clamp_a,
                            double& rise_time_s) {
    const double half = 0.5 / frequency_hz;
    const double drop = load.resistance_ohm * clamp_a;
    rise_time_s = load.inductance_h / load.resistance_ohm * std::log((bus_v + drop) / (bus_v - drop));
    BridgeCurrent out;
    out.peak_a = clamp_a;
    out.rising_edge_a = -clamp_a;
    out.falling_edge_a = clamp_a;
    const double rate = load.resistance_ohm / load.inductance_h;
    const double squares = mode_squares(rate, -clamp_a, bus_v / load.resistance_ohm, rise_time_s) +
                           clamp_a * clamp_a * (half - rise_time_s);
    out.rms_a = std::sqrt(squares / half);
    const Level levels[] = {{0, rise_time_s, bus_v}, {rise_time_s, half, drop}};
    fill_harmonics(load, frequency_hz, levels, 2, out);
    out.mean_power_w = load.resistance_ohm * out.rms_a * out.rms_a;
    return out;
}

double switching_loss_w(const BridgeCurrent& current, const BridgeVoltage& voltage, double overlap_s) {
    const double edges = voltage.duty >= 1
                             ? 4 * std::abs(current.falling_edge_a)
                             : 2 * (std::abs(current.rising_edge_a) + std::abs(current.falling_edge_a));
    return voltage.bus_v * edges * overlap_s / 2 * voltage.frequency_hz;
}

}  // namespace ampturn::model::bridge
