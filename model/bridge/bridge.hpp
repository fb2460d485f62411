#pragma once

#include <array>
#include <limits>

/// H-bridge with square or quasi-square output into a loop (R-L) or a loop with a series capacitor (R-L-C):
/// exact periodic steady state. Waveform: +V for D T/2 centred in the positive half period, 0 V (two low-side
/// or two high-side switches on) elsewhere, then negated. Amplitudes are peak; phase in radians of the
/// fundamental current relative to the fundamental of the bridge voltage, negative = lagging. Source:
/// piecewise exponential solution with x(T/2) = -x(0), any circuits text; V_n = 4V/(pi n) sin(n pi D/2).
namespace ampturn::model::bridge {

inline constexpr double no_capacitor = std::numeric_limits<double>::infinity();

/// Everything in series with the bridge's ideal voltage; resistance is the total (loop, leads, two switches, source).
struct BridgeLoad {
    double resistance_ohm;                ///< > 0
    double inductance_h;                  ///< > 0
    double capacitance_f = no_capacitor;  ///< > 0
};

struct BridgeVoltage {
    double frequency_hz;     ///< > 0
    double bus_v;            ///< >= 0
    double duty = 1;         ///< 0..1
    double dead_time_s = 0;  ///< a leg's switches both off after each of its edges; ideal diodes
};

/// Odd harmonics 1, 3, ... 25: slot (n - 1)/2.
inline constexpr int harmonic_slots = 13;

struct BridgeCurrent {
    double fundamental_peak_a = 0;
    double fundamental_phase_rad = 0;
    double rms_a = 0;
    double peak_a = 0;
    double rising_edge_a = 0;     ///< current as the bridge turns on, +V
    double falling_edge_a = 0;    ///< current as it turns off
    double capacitor_peak_v = 0;  ///< 0 without one
    double mean_power_w = 0;      ///< mean of v i = R rms^2, delivered by the bus without switching loss
    bool zero_interval = false;   ///< the current rests at zero inside the dead time
    double diode_time_s = 0;      ///< diodes carry the current at each edge, within the dead time
    std::array<double, harmonic_slots> harmonic_peak_a{};
};

/// Steady state, continuous in all inputs; nothing where the on-time is not longer than the dead time.
/// Accuracy 1e-11 for Q up to 1e4. with_harmonics = false leaves the array zero and is faster.
BridgeCurrent bridge_steady_state(const BridgeLoad& load, const BridgeVoltage& voltage,
                                  bool with_harmonics = true);

/// Peak of one harmonic n (odd) of the bridge's voltage, and the load's impedance magnitude there.
double bridge_voltage_harmonic_v(double bus_v, double duty, int n);
double load_impedance_ohm(const BridgeLoad& load, double frequency_hz);

/// Losses of the switches: each leg commutation costs V |i| t_overlap/2; D = 1: four a period at the edge
/// current, D < 1: one leg at each of the four edges.
double switching_loss_w(const BridgeCurrent& current, const BridgeVoltage& voltage, double overlap_s);

}  // namespace ampturn::model::bridge
