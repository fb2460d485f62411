#pragma once

#include <array>
#include <optional>

#include "model/bridge/bridge.hpp"
#include "model/transmitter/transmitter.hpp"

/// The coupled operating point: battery sag, converter, bridge, loop and limits solved together at given
/// winding and electronics temperatures.
///
/// Method. With the terminals at V the load asks for P(V); the battery's upper branch gives V = h(P) = (E +
/// sqrt(E^2 - 4 R P))/2. phi(V) = V - h(P(V)) is continuous where the power is deliverable and h is taken as
/// E/2 where it is not; phi(E) >= 0, and phi(E/2) <= 0 exactly when P(E/2) <= E^2/4R. So a solution lies in
/// [E/2, E] if and only if the load is deliverable at E/2, and bisection (accelerated, bracket kept) finds
/// it. It is the only one where P does not fall with V: always in full drive, where P = a V^2 + b; a held
/// current can lose some harmonic heat as V rises, too little to matter against a battery's resistance. With
/// a converter P does not depend on V and the solution is a closed form.
namespace ampturn::model::transmitter {

/// What keeps the fundamental from being larger.
enum class Limit {
    target,   ///< nothing: it is what was asked for
    voltage,  ///< full drive; the impedance decides
    rms_current,
    peak_current,
    capacitor_voltage,
    heat,  ///< rms that would hold the steady temperature at its limit
    bus_power,
    battery_current,
    battery_power  ///< no operating point: the battery cannot deliver
};
const char* name_of(Limit limit);

/// What is asked of the driver.
struct DriveRequest {
    double frequency_hz;
    double fundamental_peak_a = no_limit;  ///< no_limit: all it can give
    double heat_rms_a = no_limit;          ///< an rms limit that stands for heat
    loop::LoopSelection loop = loop::LoopSelection::a;
    int tap_index = 0;
    int capacitor_index = -1;  ///< -1: none
    /// best_tap_and_capacitor only: hold heat for ever at this air temperature, tap by tap.
    std::optional<double> hold_heat_at_c = std::nullopt;
};

/// Facts of one loop that the plant's faults change; neutral by default.
struct CircuitFaults {
    double extra_resistance_ohm = 0;  ///< a bad contact in the loop
    double short_fraction = 0;        ///< share of the turns shorted out, 0..1
    double capacitance_factor = 1;
    bool open = false;
    /// Of the loop's area, above 0 to 1; inductance goes with the size of the loop, the root of it.
    double area_factor = 1;
};

struct Conditions {
    std::array<double, 2> winding_c{20, 20};  ///< loops A and B
    double electronics_c = 25;
    BatterySource battery;
    double other_load_w = 0;                ///< drawn at the driver's input besides the driver
    std::array<CircuitFaults, 2> faults{};  ///< loops A and B
};

/// Where the watts go: battery_w, at the battery's terminals, is the sum of the parts above it.
struct PowerBalance {
    double copper_w = 0;  ///< winding, leads, bad contacts, capacitor esr
    double bridge_w = 0;  ///< conduction
    double switching_w = 0;
    double fixed_w = 0;  ///< quiescent and gates
    double converter_w = 0;
    double wiring_w = 0;
    double other_w = 0;     ///< Conditions::other_load_w
    double battery_w = 0;   ///< at the battery's terminals
    double internal_w = 0;  ///< inside the battery, not in battery_w
    double bus_w() const { return copper_w + bridge_w + switching_w + fixed_w; }
};

struct OperatingPoint {
    bool solved = false;
    Limit limited_by = Limit::battery_power;
    double shortfall = 0;             ///< unsolved: watts asked beyond what the battery can deliver
    bridge::BridgeCurrent current;    ///< of the selected loop; loop A for `both`
    bridge::BridgeCurrent current_b;  ///< loop B for `both`
    bridge::BridgeCurrent idle;       ///< of the loop not selected, where it is closed and coupled
    double duty = 0;
    double bus_v = 0;      ///< what the bridge sees
    double battery_v = 0;  ///< terminals
    double battery_a = 0;
    double moment_peak_a_m2 = 0;    ///< of the fundamental; loop A for `both`
    double moment_b_peak_a_m2 = 0;  ///< loop B for `both`
    double loop_resistance_ohm = 0, loop_inductance_h = 0, total_resistance_ohm = 0;
    double winding_ratio = 1;        ///< R_ac/R_dc of the winding
    double other_winding_ratio = 1;  ///< of loop B for `both`, of the idle loop
    double resonance_hz = 0;         ///< 0 without capacitor
    double quality = 0;              ///< omega0 L/R with capacitor, omega L/R without
    bool near_self_resonance = false;
    bool leading = false;  ///< capacitive: switches turn on against a conducting diode (hard switching)
    PowerBalance power;

    // The largest over all loops that carry current: what limits, ratings and trips are held against.
    double largest_capacitor_peak_v() const;
    double largest_peak_a() const;
    double largest_fundamental_peak_a() const;
};

/// tap data of the loop a request selects (loop A for `both`).
const loop::LoopTap& selected_tap(const Transmitter& transmitter, const DriveRequest& request);

/// Solved with the other loop wherever both carry current: `both`, or the other one idle but closed, at an angle that
/// couples them (coupled_drive.hpp). Throws RangeError "tap_index" where a loop that sends has no such tap; an idle
/// loop with fewer taps stands at its last.
OperatingPoint solve_operating_point(const Transmitter& transmitter, const Conditions& conditions,
                                     const DriveRequest& request, bool with_harmonics = true);

/// The rms current that holds winding and electronics at their limits for ever, at this frequency and tap.
double heat_limited_rms_a(const Transmitter& transmitter, const loop::LoopTap& tap, double frequency_hz,
                          double ambient_c, double duty_of_time);

/// Seconds until a capacitor charged to peak_v has fallen to safe_v through its bleed resistor; nullopt without one.
std::optional<double> discharge_time_s(const SeriesCapacitor& capacitor, double peak_v, double safe_v);

}  // namespace ampturn::model::transmitter
