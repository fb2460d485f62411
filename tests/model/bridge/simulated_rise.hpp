#pragma once

#include <iomanip>
#include <vector>

#include "model/bridge/stepped_rise.hpp"
#include "tests/model/bridge/simulated_bridge.hpp"

/// A drive that rises in levels, in ngspice: a voltage source that follows the pulses, from the middle of the first.
namespace ampturn::test {

struct Pulses {
    double duty;
    int cycles;
};

inline std::string rise_netlist(const model::bridge::BridgeLoad& load,
                                const model::bridge::BridgeVoltage& drive, const std::vector<Pulses>& pulses,
                                int fineness, const std::string& out) {
    const double period = 1 / drive.frequency_hz, rise = 2e-5 * period / fineness;
    std::ostringstream n;
    n << std::setprecision(15) << "drive that rises\n.options reltol=1e-5 abstol=1e-9 vntol=1e-7 itl4=200";
    if (load.capacitance_f != model::bridge::no_capacitor)
        n << " chgtol=" << 1e-5 * load.capacitance_f * drive.bus_v;
    n << "\nv1 a 0 pwl(0 " << drive.bus_v;
    double t = 0, before_v = drive.bus_v;
    const auto edge = [&](double at_s, double to_v) {
        if (to_v == before_v) return;
        n << "\n+ " << at_s - rise / 2 << " " << before_v << " " << at_s + rise / 2 << " " << to_v;
        before_v = to_v;
    };
    for (const Pulses& p : pulses)
        for (int cycle = 0; cycle < p.cycles; ++cycle, t += period) {
            const double half_on = p.duty * period / 4;
            if (p.duty < 1) edge(t + half_on, 0);
            edge(t + period / 2 - half_on, -drive.bus_v);
            if (p.duty < 1) edge(t + period / 2 + half_on, 0);
            edge(t + period - half_on, drive.bus_v);
        }
    n << ")\nvi a x 0\nr1 x y " << load.resistance_ohm << "\nl1 y z " << load.inductance_h << " ic=0\n";
    if (load.capacitance_f == model::bridge::no_capacitor)
        n << "vz z 0 0\n";
    else
        n << "c1 z 0 " << load.capacitance_f << " ic=0\n";
    const double step =
        std::min(period / 600, 0.02 * std::sqrt(load.inductance_h * load.capacitance_f)) / fineness;
    n << ".control\ntran " << step << " " << t << " 0 " << step << " uic\noption numdgt=14\nwrdata " << out
      << " i(vi) v(z)\nquit\n.endc\n.end\n";
    return n.str();
}

/// Throws if ngspice gives no waveform, or stops early.
inline model::bridge::RisePeaks simulate_rise(const model::bridge::BridgeLoad& load,
                                              const model::bridge::BridgeVoltage& drive,
                                              const std::vector<Pulses>& pulses, int fineness) {
    const ScratchDirectory scratch;
    const std::string waveform = scratch.file("waveform.txt");
    const ProgramResult ran = run_ngspice(scratch, rise_netlist(load, drive, pulses, fineness, waveform));
    std::ifstream rows(waveform);
    model::bridge::RisePeaks out;
    double t = 0, i = 0, again = 0, u = 0;
    while (rows >> t >> i >> again >> u) {
        out.peak_a = std::max(out.peak_a, std::abs(i));
        out.capacitor_peak_v = std::max(out.capacitor_peak_v, std::abs(u));
    }
    double cycles = 0;
    for (const Pulses& p : pulses) cycles += p.cycles;
    if (!(std::abs(t * drive.frequency_hz - cycles) < 1e-3))
        throw std::runtime_error("ngspice stopped after " + std::to_string(t * drive.frequency_hz) +
                                 " cycles: " + ran.out + ran.err);
    return out;
}

}  // namespace ampturn::test
