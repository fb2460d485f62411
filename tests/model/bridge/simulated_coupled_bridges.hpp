#pragma once

#include <array>

#include "model/bridge/coupled_bridges.hpp"
#include "tests/model/bridge/simulated_bridge.hpp"

/// Two coupled loads in ngspice, each fed by a voltage source that follows its bridge (no dead time), the second a
/// quarter period behind; the last period of a run from rest.
namespace ampturn::test {

inline std::string coupled_netlist(const model::bridge::CoupledBridges& b, int fineness,
                                   const std::string& out) {
    const double period = 1 / b.frequency_hz, half = period / 2;
    const double rise = 1e-4 * half / fineness;
    double settling = 0, fastest = 1e300;
    for (const model::bridge::BridgeLoad& load : b.load) {
        // The field of the other loop slows the decay; three times is ample for couplings below a half.
        settling = std::max(settling, 3 * settling_s(load));
        fastest = std::min(fastest, std::sqrt(load.inductance_h * load.capacitance_f));
    }
    const double step = std::min(half / 300, 0.02 * fastest) / fineness;
    const double start = std::ceil(settling / period + 2) * period;
    std::ostringstream n;
    n.precision(15);
    n << "coupled bridges\n.options reltol=1e-5 abstol=1e-8 vntol=1e-6 itl4=200 chgtol=1e-9\n";
    for (std::size_t k = 0; k < 2; ++k) {
        // The first pulse begins with a period, so that the simulator stands at the start of the last one.
        const double middle = (b.voltage[0].duty * half + rise) / 2 + (k == 0 ? 0 : half / 2);
        const double on = b.voltage[k].duty * half;
        // Two pulses make +V and -V; nothing for a loop that is closed.
        const double width = std::max(on - rise, rise / 2);
        const double volts = b.voltage[k].duty > 0 ? b.voltage[k].bus_v : 0;
        const double from = middle - on / 2 - rise / 2 + period;
        n << "vp" << k << " a" << k << " m" << k << " pulse(0 " << volts << " " << from << " " << rise << " "
          << rise << " " << width << " " << period << ")\n";
        n << "vn" << k << " m" << k << " s" << k << " pulse(0 " << -volts << " " << from + half << " " << rise
          << " " << rise << " " << width << " " << period << ")\n";
        n << "vi" << k << " 0 s" << k << " 0\n";
        n << "r" << k << " a" << k << " y" << k << " " << b.load[k].resistance_ohm << "\nl" << k << " y" << k
          << " z" << k << " " << b.load[k].inductance_h << "\n";
        if (b.load[k].capacitance_f == model::bridge::no_capacitor)
            n << "vz" << k << " z" << k << " 0 0\n";
        else
            n << "c" << k << " z" << k << " 0 " << b.load[k].capacitance_f << "\n";
    }
    n << "k1 l0 l1 " << b.mutual_h / std::sqrt(b.load[0].inductance_h * b.load[1].inductance_h) << "\n";
    n << ".control\ntran " << step << " " << start + period << " " << start - 1e-9 * period << " " << step
      << "\noption numdgt=14\nwrdata " << out
      << " i(vi0) v(z0) v(a0,s0) i(vi1) v(z1) v(a1,s1)\nquit\n.endc\n.end\n";
    return n.str();
}

inline std::array<Simulated, 2> simulate_coupled(const model::bridge::CoupledBridges& b, int fineness) {
    const ScratchDirectory scratch;
    const std::string waveform = scratch.file("waveform.txt");
    const ProgramResult ran = run_ngspice(scratch, coupled_netlist(b, fineness, waveform));
    std::ifstream rows(waveform);
    if (!rows) throw std::runtime_error("ngspice gives no waveform: " + ran.out + ran.err);
    std::array<Simulated, 2> out;
    std::array<std::complex<double>, 2> fundamental{};
    std::array<double, 2> squares{}, energy{}, i0{}, v0{};
    double t = 0, t0 = 0, span = 0;
    std::complex<double> turned0;
    for (bool first = true; rows >> t; first = false) {
        const auto turned = std::polar(1.0, -2 * model::pi * b.frequency_hz * t);
        for (std::size_t k = 0; k < 2; ++k) {
            double i = 0, u = 0, volts = 0, again = 0;
            if (k == 1) rows >> again;
            rows >> i >> again >> u >> again >> volts;
            if (!first) {
                const double dt = t - t0;
                if (k == 0) span += dt;
                fundamental[k] += dt / 2 * (i * turned + i0[k] * turned0);
                squares[k] += dt / 3 * (i * i + i * i0[k] + i0[k] * i0[k]);
                energy[k] += dt / 2 * (volts * i + v0[k] * i0[k]);
            }
            out[k].peak_a = std::max(out[k].peak_a, std::abs(i));
            out[k].capacitor_peak_v = std::max(out[k].capacitor_peak_v, std::abs(u));
            i0[k] = i, v0[k] = volts;
        }
        t0 = t, turned0 = turned;
    }
    if (!(std::abs(span * b.frequency_hz - 1) < 1e-6))
        throw std::runtime_error("ngspice stopped early, after " + std::to_string(span * b.frequency_hz) +
                                 " periods: " + ran.out + ran.err);
    for (std::size_t k = 0; k < 2; ++k) {
        out[k].fundamental_peak_a = 2 / span * std::abs(fundamental[k]);
        out[k].rms_a = std::sqrt(squares[k] / span);
        out[k].bus_power_w = energy[k] / span;
    }
    return out;
}

}  // namespace ampturn::test
