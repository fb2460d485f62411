#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>

#include "model/base/constants.hpp"
#include "model/bridge/bridge.hpp"
#include "tests/ngspice.hpp"

/// The bridge in ngspice: two legs, each with two ideal switches and a diode across each, and any load; the last
/// period of a run from rest. Phase-shifted legs: leg A switches at 0 and T/2, leg B a pulse width later; each leg's two
/// switches are both off for the dead time after its edge.
namespace ampturn::test {

struct Simulated {
    double fundamental_peak_a = 0, rms_a = 0, peak_a = 0, capacitor_peak_v = 0, bus_power_w = 0;
};

/// Time after which what is left of the start is below 1e-7.
inline double settling_s(const model::bridge::BridgeLoad& load) {
    const double alpha = load.resistance_ohm / (2 * load.inductance_h);
    const double gamma_squared = alpha * alpha - 1 / (load.inductance_h * load.capacitance_f);
    double rate = alpha;
    if (load.capacitance_f == model::bridge::no_capacitor)
        rate = 2 * alpha;
    else if (gamma_squared > 0)
        rate = alpha - std::sqrt(gamma_squared);
    return 16 / rate;
}

inline std::string bridge_netlist(const model::bridge::BridgeLoad& load,
                                  const model::bridge::BridgeVoltage& v, int fineness,
                                  const std::string& out) {
    const double period = 1 / v.frequency_hz, half = period / 2, on = v.duty * half;
    const double rise = 1e-5 * half / fineness;
    // Diodes pass over from one to the other within this current.
    const double diode_a = 1e-4 * v.bus_v / load.resistance_ohm / fineness;
    const double step =
        std::min(half / 300, 0.02 * std::sqrt(load.inductance_h * load.capacitance_f)) / fineness;
    const double start = std::ceil(settling_s(load) / period + 2) * period;
    std::ostringstream n;
    n.precision(15);
    n << "bridge with dead time\n.options reltol=1e-5 abstol=1e-8 vntol=1e-6 itl4=200";
    // The least charge whose error matters: the usual one, fit for integrated circuits, makes ever shorter steps.
    if (load.capacitance_f != model::bridge::no_capacitor)
        n << " chgtol=" << 2e-5 * load.capacitance_f * v.bus_v;
    n << "\n";
    const auto gate = [&](const char* name, double edge) {
        const double width = half - v.dead_time_s - rise;
        n << "v" << name << " " << name << " 0 pulse(0 1 " << edge + v.dead_time_s << " " << rise << " "
          << rise << " " << width << " " << period << ")\n";
    };
    gate("ah", 0);
    gate("al", half);
    gate("bh", on);
    gate("bl", on + half);
    // A closed switch ties its leg to one end of the bus; with both open a current out of the leg comes through
    // its lower diode, one into it goes through its upper diode.
    const auto leg = [&](const char* node, const char* sign) {
        const std::string high = std::string("v(") + node + "h)", low = std::string("v(") + node + "l)";
        n << "b" << node << " " << node << " 0 v=" << v.bus_v << "*(" << high << "+(1-" << high << "-" << low
          << ")*(0.5" << sign << "0.5*tanh(i(vi)/" << diode_a << ")))\n";
    };
    leg("a", "-");
    leg("b", "+");
    n << "vi a x 0\nr1 x y " << load.resistance_ohm << "\nl1 y z " << load.inductance_h << "\n";
    if (load.capacitance_f == model::bridge::no_capacitor)
        n << "vz z b 0\n";
    else
        n << "c1 z b " << load.capacitance_f << "\n";
    n << ".control\ntran " << step << " " << start + period << " " << start << " " << step
      << "\noption numdgt=14\nwrdata " << out << " i(vi) v(z,b) v(a,b)\nquit\n.endc\n.end\n";
    return n.str();
}

/// fineness 1, 2, ...: divides step, rise time and the current in which the diodes change over. Throws if ngspice gives no waveform.
inline Simulated simulate_bridge(const model::bridge::BridgeLoad& load, const model::bridge::BridgeVoltage& v,
                                 int fineness) {
    const ScratchDirectory scratch;
    const std::string waveform = scratch.file("waveform.txt");
    const ProgramResult ran = run_ngspice(scratch, bridge_netlist(load, v, fineness, waveform));
    std::ifstream rows(waveform);
    if (!rows) throw std::runtime_error("ngspice gives no waveform: " + ran.out + ran.err);
    Simulated out;
    std::complex<double> fundamental = 0;
    double squares = 0, energy = 0, span = 0, t0 = 0, i0 = 0, v0 = 0, again = 0;
    double t = 0, i = 0, u = 0, bridge_v = 0;
    std::complex<double> turned0;
    for (bool first = true; rows >> t >> i >> again >> u >> again >> bridge_v; first = false) {
        const auto turned = std::polar(1.0, -2 * model::pi * v.frequency_hz * t);
        if (!first) {
            const double dt = t - t0;
            span += dt;
            fundamental += dt / 2 * (i * turned + i0 * turned0);
            squares += dt / 3 * (i * i + i * i0 + i0 * i0);
            energy += dt / 2 * (bridge_v * i + v0 * i0);
        }
        out.peak_a = std::max(out.peak_a, std::abs(i));
        out.capacitor_peak_v = std::max(out.capacitor_peak_v, std::abs(u));
        t0 = t, i0 = i, v0 = bridge_v, turned0 = turned;
    }
    if (!(std::abs(span * v.frequency_hz - 1) < 1e-6))
        throw std::runtime_error("ngspice stopped early: " + ran.err);
    out.fundamental_peak_a = 2 / span * std::abs(fundamental);
    out.rms_a = std::sqrt(squares / span);
    out.bus_power_w = energy / span;
    return out;
}

}  // namespace ampturn::test
