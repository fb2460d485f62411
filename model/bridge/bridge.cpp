#include "model/bridge/bridge.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/bridge/bridge_modes.hpp"
#include "model/bridge/dead_time.hpp"

namespace ampturn::model::bridge {

namespace {

using Complex = std::complex<double>;

void fill_pulse_harmonics(const BridgeLoad& load, const BridgeVoltage& v, BridgeCurrent& out, bool all) {
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

// R-L with a dead time in which the current reaches zero: it stays there until the dead time ends.
BridgeCurrent zero_interval_state(const BridgeLoad& load, const BridgeVoltage& v, bool with_harmonics) {
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
    const HeldVoltage held[] = {{0, zero_at, v.bus_v}, {v.dead_time_s, on, v.bus_v}};
    fill_harmonics(load, v.frequency_hz, held, 2, with_harmonics, out);
    return out;
}

// An edge that finds the current in the diode of the old state waits for the dead time; leading current delays
// the rising edge, current below zero at the falling edge delays that one. Solves anew with the edges where
// they fall. False: the current may pass through zero within a dead time, and more happens.
bool edges_keep_clear(const BridgeLoad& load, BridgeVoltage& v, EdgeVoltages capacitor, BridgeCurrent& out) {
    const bool rising_late = out.rising_edge_a > 0, falling_late = out.falling_edge_a < 0;
    const bool square = v.duty >= 1;
    if (!square && rising_late != falling_late) {
        const double half = 0.5 / v.frequency_hz;
        v.duty += (falling_late ? v.dead_time_s : -v.dead_time_s) / half;
        if (v.duty >= 1) return false;
        out = {};
        capacitor = solve_modes(load, v, out);
    }
    // The current at the other end of the dead time by its slope, and what its curvature could add.
    const double largest_slope =
        (v.bus_v + out.capacitor_peak_v + load.resistance_ohm * out.peak_a) / load.inductance_h;
    const double curved_a = v.dead_time_s * v.dead_time_s / (2 * load.inductance_h) *
                            (load.resistance_ohm * largest_slope + out.peak_a / load.capacitance_f);
    const auto keeps_sign = [&](double edge_a, double bridge_v, double capacitor_v, bool late, double sign) {
        const double slope = (bridge_v - capacitor_v - load.resistance_ohm * edge_a) / load.inductance_h;
        const double other_end_a = edge_a + (late ? -slope : slope) * v.dead_time_s;
        return sign * edge_a > curved_a && sign * other_end_a > curved_a;
    };
    const double old_v = square ? -v.bus_v : 0;
    return keeps_sign(out.rising_edge_a, rising_late ? old_v : v.bus_v, capacitor.rising_v, rising_late,
                      rising_late ? 1 : -1) &&
           (square || keeps_sign(out.falling_edge_a, falling_late ? v.bus_v : 0, capacitor.falling_v,
                                 falling_late, falling_late ? -1 : 1));
}

}  // namespace

void fill_harmonics(const BridgeLoad& load, double frequency_hz, const HeldVoltage* held, int count,
                    bool with_harmonics, BridgeCurrent& out) {
    const double half = 0.5 / frequency_hz;
    for (int slot = 0; slot < (with_harmonics ? harmonic_slots : 1); ++slot) {
        const int n = 2 * slot + 1;
        const double omega = 2 * pi * frequency_hz * n;
        Complex v = 0;  // integral of v e^{-j w t} over the half period; the amplitude is 4/T of it
        for (int i = 0; i < count; ++i) {
            const double mid = (held[i].from_s + held[i].to_s) / 2;
            const double span = held[i].to_s - held[i].from_s;
            // The sine may be negative, which std::polar does not take as a size.
            v += held[i].volts * (2 / omega * std::sin(omega * span / 2)) * std::polar(1.0, -omega * mid);
        }
        out.harmonic_peak_a[static_cast<std::size_t>(slot)] =
            2 * std::abs(v) / half / load_impedance_ohm(load, n * frequency_hz);
    }
    out.fundamental_peak_a = out.harmonic_peak_a[0];
    if (!with_harmonics) out.harmonic_peak_a[0] = 0;
    const double omega = 2 * pi * frequency_hz;
    const double reactance = omega * load.inductance_h - 1 / (omega * load.capacitance_f);
    out.fundamental_phase_rad = -std::atan2(reactance, load.resistance_ohm);
}

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
    const EdgeVoltages capacitor = solve_modes(load, v, out);
    if (v.dead_time_s > 0) {
        if (load.capacitance_f == no_capacitor) {
            // The diode carries the current on into the new polarity; does it run dry before the dead time ends?
            const double settled = v.bus_v / load.resistance_ohm;
            const double zero_at = std::log1p(std::max(0.0, -out.rising_edge_a) / settled) *
                                   load.inductance_h / load.resistance_ohm;
            if (zero_at < v.dead_time_s) {
                out = zero_interval_state(load, v, with_harmonics);
                out.mean_power_w = load.resistance_ohm * out.rms_a * out.rms_a;
                return out;
            }
        } else {
            const BridgeState near{out.rising_edge_a, capacitor.rising_v};
            if (!edges_keep_clear(load, v, capacitor, out))
                return steady_state_with_dead_time(load, voltage, near, with_harmonics);
        }
        out.diode_time_s = v.dead_time_s;
    }
    fill_pulse_harmonics(load, v, out, with_harmonics);
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
    const HeldVoltage held[] = {{0, rise_time_s, bus_v}, {rise_time_s, half, drop}};
    fill_harmonics(load, frequency_hz, held, 2, true, out);
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
