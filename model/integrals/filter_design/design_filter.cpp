// Computes the digital filter for quasi-static Hankel transforms and writes it as a C++ header.
//
//     design_filter --write FILE     writes the table
//     design_filter --check FILE     designs it anew, tests it on transform pairs, and compares with the file
//
// With x = ln r, lambda = e^{-y}: r g(r) = int f(e^{-y}) e^{x-y} J_n(e^{x-y}) dy, a convolution whose
// response has the known transform 2^{-i w} Gamma((n+1-iw)/2) / Gamma((n+1+iw)/2) (Mellin transform of J_n:
// Abramowitz & Stegun 1964, 11.4.16). Sampling f at spacing D with a smooth low-pass P gives
//
//     r g(r) = sum_k w_k f(b_k / r),  b_k = e^{k D},  w_k = D/2pi int P(w) Jhat(w) e^{i w k D} dw.
//
// Kernels of layered ground are analytic for |arg lambda| < pi/4, so their spectra fall as e^{-pi |w| / 4}:
// at half the sampling rate, pi/D, 4e-14 is left.

#include <boost/multiprecision/cpp_bin_float.hpp>
#include <boost/multiprecision/cpp_complex.hpp>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <iostream>
#include <sstream>
#include <string>
#include <vector>

namespace {

using Real = boost::multiprecision::cpp_bin_float_50;
using Complex = boost::multiprecision::cpp_complex_50;

const Real pi = boost::math::constants::pi<Real>();
const Real spacing = Real(8) / 100;
constexpr int first = -250, last = 72;  // k; b from 2e-9 to 317

/// ln Gamma(z), Re z > 0: Stirling's series after shifting Re z above 30.
Complex log_gamma(Complex z) {
    Complex shift = 0;
    while (z.real() < 30) {
        shift -= log(z);
        z += 1;
    }
    // B_2k / (2k (2k-1)).
    static const Real coefficients[]{Real(1) / 12,           Real(-1) / 360,       Real(1) / 1260,
                                     Real(-1) / 1680,        Real(1) / 1188,       Real(-691) / 360360,
                                     Real(1) / 156,          Real(-3617) / 122400, Real(43867) / 244188,
                                     Real(-174611) / 125400, Real(77683) / 5796};
    Complex series = 0;
    Complex power = z;
    for (const Real& c : coefficients) {
        series += c / power;
        power *= z * z;
    }
    return shift + (z - Real(0.5)) * log(z) - z + log(2 * pi) / 2 + series;
}

/// int_0^inf s^{-iw} J_n(s) ds; its modulus is 1.
Complex response(int n, const Real& w) {
    const Complex up((Real(n) + 1) / 2, w / 2), down((Real(n) + 1) / 2, -w / 2);
    return exp(Complex(0, -w * log(Real(2))) + log_gamma(down) - log_gamma(up));
}

/// 1 well below half the sampling rate, 0 well above, odd about it, smooth without end.
Real low_pass(const Real& w) {
    const Real half_rate = pi / spacing, width = 6;
    return boost::math::erfc((abs(w) - half_rate) / width) / 2;
}

std::vector<double> design(int n) {
    // The trapezoidal rule repeats the filter with period 2 pi / step in k D: far outside the range kept.
    const Real step = 2 * pi / 50;
    const Real top = pi / spacing + 36;
    std::vector<Complex> spectrum;
    for (int i = 0; step * i < top; ++i) spectrum.push_back(low_pass(step * i) * response(n, step * i));
    std::vector<double> weights;
    for (int k = first; k <= last; ++k) {
        Real sum = spectrum[0].real() / 2;
        const Complex turn = exp(Complex(0, step * spacing * k));
        Complex phase = turn;
        for (std::size_t i = 1; i < spectrum.size(); ++i) {
            sum += (spectrum[i] * phase).real();
            phase *= turn;
        }
        weights.push_back(static_cast<double>(sum * spacing * step / pi));
    }
    return weights;
}

std::string header_text(const std::vector<double>& j0, const std::vector<double>& j1) {
    std::ostringstream out;
    out << "#pragma once\n\n#include <array>\n\n"
           "// Written by model/integrals/filter_design/design_filter.cpp; do not edit.\n"
           "// clang-format off\n"
           "namespace ampturn::model::integrals {\n\n"
           "/// r g(r) = sum_k weight[k] f(e^{k spacing}/r), k from filter_first, "
           "for g(r) = int_0^inf f(lambda) J_n(lambda r) d lambda.\n"
           "inline constexpr double filter_spacing = 0.08;\n"
        << "inline constexpr int filter_first = " << first << ";\n"
        << "inline constexpr int filter_count = " << j0.size() << ";\n\n";
    auto table = [&](const char* name, const std::vector<double>& weights) {
        out << "inline constexpr std::array<double, filter_count> " << name << "{\n";
        for (const double w : weights) {
            char text[40];
            std::snprintf(text, sizeof text, "    %.17g,\n", w);
            out << text;
        }
        out << "};\n";
    };
    table("filter_j0", j0);
    out << "\n";
    table("filter_j1", j1);
    out << "\n}  // namespace ampturn::model::integrals\n";
    return out.str();
}

/// Worst error relative to the exact transform over r = 1e-3 to 1e3 (Gaussians: to 4), on pairs that the
/// design has not seen.
bool self_check(const std::vector<double>& j0, const std::vector<double>& j1) {
    struct Pair {
        const char* name;
        const std::vector<double>& weights;
        double (*kernel)(double);
        double (*transform)(double);
        double allowed;
    };
    const Pair pairs[]{
        {"e^-l J0 -> (1+r^2)^-1/2", j0, [](double l) { return std::exp(-l); },
         [](double r) { return 1 / std::sqrt(1 + r * r); },
         3e-6},  // the kernel does not vanish at 0: the cut at e^-20 shows
        {"l e^-l J0 -> (1+r^2)^-3/2", j0, [](double l) { return l * std::exp(-l); },
         [](double r) { return std::pow(1 + r * r, -1.5); }, 3e-11},
        {"l e^-l^2 J0 -> e^{-r^2/4}/2", j0, [](double l) { return l * std::exp(-l * l); },
         [](double r) { return r < 4 ? std::exp(-r * r / 4) / 2 : 0; }, 3e-11},
        {"e^-l J1 -> (1-(1+r^2)^-1/2)/r", j1, [](double l) { return std::exp(-l); },
         [](double r) { return r / (1 + r * r + std::sqrt(1 + r * r)); }, 3e-11},
        {"l e^-l J1 -> r (1+r^2)^-3/2", j1, [](double l) { return l * std::exp(-l); },
         [](double r) { return r * std::pow(1 + r * r, -1.5); }, 3e-11},
        {"l^2 e^-l^2 J1 -> r e^{-r^2/4}/4", j1, [](double l) { return l * l * std::exp(-l * l); },
         [](double r) { return r < 4 ? r * std::exp(-r * r / 4) / 4 : 0; }, 3e-11},
    };
    bool good = true;
    for (const Pair& pair : pairs) {
        double worst = 0;
        for (int k = 0; k <= 161; ++k) {
            const double r = std::pow(10, 0.0371 * k - 3), exact = pair.transform(r);
            if (exact == 0) continue;
            double sum = 0;
            for (std::size_t i = 0; i < pair.weights.size(); ++i)
                sum += pair.weights[i] * pair.kernel(std::exp(0.08 * (first + static_cast<int>(i))) / r);
            worst = std::max(worst, std::abs(sum / r / exact - 1));
        }
        std::printf("%-34s worst error %.1e of the transform, allowed %.0e\n", pair.name, worst,
                    pair.allowed);
        good = good && worst <= pair.allowed;
    }
    return good;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3 || (std::strcmp(argv[1], "--write") != 0 && std::strcmp(argv[1], "--check") != 0)) {
        std::fprintf(stderr, "usage: design_filter --write FILE | --check FILE\n");
        return 2;
    }
    const std::vector<double> j0 = design(0), j1 = design(1);
    const bool good = self_check(j0, j1);
    const std::string text = header_text(j0, j1);
    if (std::strcmp(argv[1], "--write") == 0) {
        if (!(std::ofstream(argv[2]) << text)) {
            std::fprintf(stderr, "design_filter: cannot write %s\n", argv[2]);
            return 2;
        }
        return good ? 0 : 1;
    }
    std::ostringstream kept;
    kept << std::ifstream(argv[2]).rdbuf();
    const bool same = kept.str() == text;
    std::printf("%s %s\n", argv[2],
                same ? "is what this program computes" : "differs from what this program computes");
    return good && same ? 0 : 1;
}
