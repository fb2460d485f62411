#pragma once

#include <algorithm>
#include <fstream>
#include <iomanip>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/ngspice.hpp"

/// A network in ngspice from a given state: node voltages at every step.
namespace ampturn::test {

class Waveforms {
  public:
    std::vector<double> time;
    std::vector<std::vector<double>> node;  // by node, as time

    double at(std::size_t which, double t) const {
        const auto next = std::upper_bound(time.begin(), time.end(), t);
        if (next == time.begin()) return node[which].front();
        if (next == time.end()) return node[which].back();
        const auto i = static_cast<std::size_t>(next - time.begin());
        const double share = (t - time[i - 1]) / (time[i] - time[i - 1]);
        return node[which][i - 1] + share * (node[which][i] - node[which][i - 1]);
    }
    /// First time the node falls to, or rises to, a value; throws when it never does.
    double reaches(std::size_t which, double value) const {
        for (std::size_t i = 1; i < time.size(); ++i) {
            const double a = node[which][i - 1] - value, b = node[which][i] - value;
            if (a * b <= 0 && a != b) return time[i - 1] + a / (a - b) * (time[i] - time[i - 1]);
        }
        throw std::runtime_error("ngspice: never reached");
    }
};

/// `elements`: lines of the netlist; `nodes`: names; from 0 to `end`, no step longer than `step`. Throws if ngspice
/// stops early.
inline Waveforms simulate_network(const std::string& elements, const std::vector<std::string>& nodes,
                                  double end, double step) {
    const ScratchDirectory scratch;
    const std::string waveform = scratch.file("waveform.txt");
    std::ostringstream n;
    n << std::setprecision(15) << "network\n.options reltol=1e-7 abstol=1e-9 vntol=1e-9\n"
      << elements << ".control\ntran " << step << " " << end << " 0 " << step
      << " uic\noption numdgt=14\nwrdata " << waveform;
    for (const std::string& node : nodes) n << " v(" << node << ")";
    n << "\nquit\n.endc\n.end\n";
    const ProgramResult ran = run_ngspice(scratch, n.str());
    std::ifstream rows(waveform);
    Waveforms out;
    out.node.resize(nodes.size());
    double value = 0, again = 0;
    while (rows >> value) {
        out.time.push_back(value);
        for (std::size_t k = 0; k < nodes.size(); ++k) {
            if (k > 0) rows >> again;
            rows >> value;
            out.node[k].push_back(value);
        }
    }
    if (out.time.empty() || out.time.back() < end * (1 - 1e-9))
        throw std::runtime_error("ngspice stopped early: " + ran.out + ran.err);
    return out;
}

/// Holds each value from its time on; edges take a millionth of the whole.
struct Held {
    double from, value;
};
inline std::string held_source(const std::string& name, const std::string& nodes,
                               const std::vector<Held>& held, double end) {
    std::ostringstream n;
    n << std::setprecision(15) << name << " " << nodes << " pwl(0 " << held.front().value;
    for (std::size_t i = 1; i < held.size(); ++i)
        n << " " << held[i].from - 5e-7 * end << " " << held[i - 1].value << " " << held[i].from + 5e-7 * end
          << " " << held[i].value;
    n << ")\n";
    return n.str();
}

}  // namespace ampturn::test
