#pragma once

#include <unistd.h>

#include <array>
#include <cmath>
#include <complex>
#include <cstdio>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "tests/run_program.hpp"

/// A loop of thin wire over a uniform ground by the method of moments: the Numerical Electromagnetics Code (version 2, in the
/// public domain; Debian's nec2c) with Sommerfeld's integrals for the ground. One source in the middle of each side keeps the
/// current even. Its axes have z up: ours turned by half a circle about x.
namespace ampturn::test {

inline const char* nec2c_path() { return "/usr/bin/nec2c"; }
inline bool has_nec2c() { return ::access(nec2c_path(), X_OK) == 0; }

struct NecGround {
    double resistivity_ohm_m, relative_permittivity;
};

struct NecLoop {
    std::complex<double> current_a;  // mean along the wire
    double unevenness_rel;           // largest distance of a segment's current from the mean
    std::vector<std::array<std::complex<double>, 2>> e_v_per_m;  // Ex, Ey at each receiver
};

inline std::string nec_cards(const model::fields::Loop& loop, int segments_a_side, const NecGround& ground,
                             double frequency_hz, const std::vector<model::fields::Receiver>& receivers) {
    std::ostringstream cards;
    cards.precision(12);
    cards << "CM loop over ground\nCE\n";
    const auto& v = loop.vertices_xyz_m;
    const auto turned = [](const std::array<double, 3>& p) {
        std::ostringstream text;
        text.precision(12);
        text << ' ' << p[0] << ' ' << -p[1] << ' ' << -p[2];
        return text.str();
    };
    for (std::size_t i = 0; i < v.size(); ++i)
        cards << "GW " << i + 1 << ' ' << segments_a_side << turned(v[i]) << turned(v[(i + 1) % v.size()])
              << " 0.001\n";
    cards << "GE 1\nGN 2 0 0 0 " << ground.relative_permittivity << ' ' << 1 / ground.resistivity_ohm_m
          << "\nFR 0 1 0 0 " << frequency_hz / 1e6 << " 0\n";
    for (std::size_t i = 0; i < v.size(); ++i)
        cards << "EX 0 " << i + 1 << ' ' << (segments_a_side + 1) / 2 << " 0 1 0\n";
    for (const auto& r : receivers) cards << "NE 0 1 1 1" << turned({r.x_m, r.y_m, r.z_m}) << " 0 0 0\n";
    cards << "EN\n";
    return cards.str();
}

/// Throws std::runtime_error when the program does not give a current for each segment and a field for each receiver.
inline NecLoop nec_loop(const model::fields::Loop& loop, int segments_a_side, const NecGround& ground,
                        double frequency_hz, const std::vector<model::fields::Receiver>& receivers) {
    const ScratchDirectory scratch;
    const std::string out_path = scratch.file("loop.out");
    const std::string cards =
        scratch.write("loop.nec", nec_cards(loop, segments_a_side, ground, frequency_hz, receivers));
    const ProgramResult ran =
        run_program("/usr/bin/timeout", {"60", nec2c_path(), "-i", cards, "-o", out_path});
    std::ifstream rows(out_path);
    std::vector<std::complex<double>> currents_a;
    NecLoop out{};
    for (std::string line; std::getline(rows, line);) {
        if (currents_a.empty() && line.find("CURRENTS AND LOCATION") != std::string::npos) {
            int segment = 0, tag = 0;
            double x = 0, y = 0, z = 0, length = 0, re = 0, im = 0;
            while (std::getline(rows, line) && line.find("POWER BUDGET") == std::string::npos)
                if (std::sscanf(line.c_str(), "%d %d %lf %lf %lf %lf %lf %lf", &segment, &tag, &x, &y, &z,
                                &length, &re, &im) == 8)
                    currents_a.emplace_back(re, im);
        } else if (line.find("NEAR ELECTRIC FIELDS") != std::string::npos) {
            double x = 0, y = 0, z = 0, ex = 0, ex_deg = 0, ey = 0, ey_deg = 0;
            while (std::getline(rows, line))
                if (std::sscanf(line.c_str(), "%lf %lf %lf %lf %lf %lf %lf", &x, &y, &z, &ex, &ex_deg, &ey,
                                &ey_deg) == 7) {
                    out.e_v_per_m.push_back({std::polar(ex, ex_deg * model::pi / 180),
                                             -std::polar(ey, ey_deg * model::pi / 180)});
                    break;
                }
        }
    }
    if (currents_a.size() != loop.vertices_xyz_m.size() * static_cast<std::size_t>(segments_a_side) ||
        out.e_v_per_m.size() != receivers.size())
        throw std::runtime_error("nec2c gives no fields: " + ran.out + ran.err);
    for (const auto& current : currents_a) out.current_a += current / static_cast<double>(currents_a.size());
    for (const auto& current : currents_a)
        out.unevenness_rel =
            std::max(out.unevenness_rel, std::abs(current - out.current_a) / std::abs(out.current_a));
    return out;
}

}  // namespace ampturn::test
