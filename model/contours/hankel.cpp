#include "model/contours/hankel.hpp"

#include <array>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "model/base/lane_count.hpp"
#include "model/base/vector_math.hpp"

namespace ampturn::model::contours {

namespace {
using Complex = std::complex<double>;

Orders01 power_series_j(Complex z) {
    const Complex q = -0.25 * z * z;
    Complex term0 = 1, term1 = 0.5 * z;
    Complex sum0 = term0, sum1 = term1;
    for (int k = 1; k < 60; ++k) {
        term0 *= q / static_cast<double>(k * k);
        term1 *= q / static_cast<double>(k * (k + 1));
        sum0 += term0;
        sum1 += term1;
        if (std::norm(term0) < 1e-36 * std::norm(sum0) && std::norm(term1) < 1e-36 * std::norm(sum1)) break;
    }
    return {sum0, sum1};
}

/// Plain complex arithmetic for numbers of ordinary size; the library's guards
/// against overflow cost most of the time.
Complex inverse(Complex a) {
    const double s = 1 / (a.real() * a.real() + a.imag() * a.imag());
    return {a.real() * s, -a.imag() * s};
}
Complex product(Complex a, Complex b) {
    return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}
Complex root(Complex a) {
    const double magnitude = std::sqrt(a.real() * a.real() + a.imag() * a.imag());
    const double large = std::sqrt(0.5 * (magnitude + std::abs(a.real())));
    const double small = 0.5 * std::abs(a.imag()) / large;
    const double im = a.real() >= 0 ? small : large;
    return {a.real() >= 0 ? large : small, a.imag() < 0 ? -im : im};
}

/// Nodes v^2 of the trapezoidal rule below, with e^{-v^2} (half of it at 0).
constexpr double rule_step = 0.2;
constexpr std::size_t rule_count = 40;  // what is beyond 33 weighs nothing
struct Rule {
    double v2[rule_count], weight[rule_count];
};
const Rule& rule() {
    static const Rule made = [] {
        Rule r{};
        for (std::size_t i = 0; i < rule_count; ++i) {
            r.v2[i] = rule_step * rule_step * static_cast<double>(i * i);
            r.weight[i] = i > 32 ? 0 : (i == 0 ? 0.5 : 1.0) * std::exp(-r.v2[i]);
        }
        return r;
    }();
    return made;
}

struct Sums {
    double k0_re[lane_count], k0_im[lane_count], k1_re[lane_count], k1_im[lane_count];
};

template <std::size_t width>
AMPTURN_LANE void sum_rule(const Rule& rule, Complex over_w, Sums& out) {
    constexpr std::size_t parts = lane_count / width;
    lane::C<width> k0[parts], k1[parts];
    for (std::size_t k = 0; k < parts; ++k) k0[k] = k1[k] = {lane::all<width>(0.0), lane::all<width>(0.0)};
    for (std::size_t i = 0; i < rule_count; i += lane_count)
        for (std::size_t k = 0; k < parts; ++k) {
            const auto v2 = lane::load<width>(rule.v2 + i + k * width);
            const auto weight = lane::load<width>(rule.weight + i + k * width);
            const auto r = lane::root(lane::C<width>{2.0 + v2 * over_w.real(), v2 * over_w.imag()});
            k0[k] = k0[k] + weight * lane::reciprocal(r);
            k1[k] = k1[k] + (weight * v2) * r;
        }
    for (std::size_t k = 0; k < parts; ++k) {
        lane::store(out.k0_re + k * width, k0[k].re);
        lane::store(out.k0_im + k * width, k0[k].im);
        lane::store(out.k1_re + k * width, k1[k].re);
        lane::store(out.k1_im + k * width, k1[k].im);
    }
}
AMPTURN_DISPATCH(trapezoid, (const Rule& rule, Complex over_w, Sums& out), sum_rule<width>(rule, over_w, out))

/// e^w sqrt(w) K_n(w), n = 0 and 1.
Orders01 scaled_k(Complex w) {
    const Complex over_w = inverse(w);
    if (std::norm(w) > 40.0 * 40.0) {
        // sqrt(pi/2) sum a_k / w^k, a_k = a_{k-1} (4 n^2 - (2k-1)^2) / (8 k).
        Complex term0 = std::sqrt(pi / 2), term1 = term0, sum0 = term0, sum1 = term1;
        for (int k = 1; k < 40; ++k) {
            const double odd = (2.0 * k - 1) * (2.0 * k - 1);
            term0 = -odd / (8.0 * k) * product(term0, over_w);
            term1 = (4 - odd) / (8.0 * k) * product(term1, over_w);
            sum0 += term0;
            sum1 += term1;
            if (std::norm(term0) + std::norm(term1) < 1e-36) break;
        }
        return {sum0, sum1};
    }
    // K_0: int e^{-v^2} (2 + v^2/w)^{-1/2} dv; K_1: int v^2 e^{-v^2} (2 + v^2/w)^{1/2} dv. The integrand is
    // analytic in |Im v| < Re sqrt(2 w), so step 0.2 leaves e^{-10 pi Re sqrt(2 w)}.
    Sums sums;
    trapezoid(rule(), over_w, sums);
    return {2 * rule_step * Complex(sum_of_lanes(sums.k0_re), sum_of_lanes(sums.k0_im)),
            2 * rule_step * Complex(sum_of_lanes(sums.k1_re), sum_of_lanes(sums.k1_im))};
}

}  // namespace

Orders01 hankel1_01(Complex z) {
    // H1_n(z) = (2 / (pi i)) e^{-i pi n / 2} K_n(-i z).
    const Complex i(0, 1);
    const Complex w = -i * z;
    // Close to the cut of K (z low in the fourth quadrant): from J and the other kind, which is small there.
    if (root(2.0 * w).real() < 1.3 && z.imag() < 0 && std::abs(z) < 40) {
        const Orders01 j = power_series_j(z);
        const Orders01 h2 = hankel2_01(z);
        return {2.0 * j.order_0 - h2.order_0, 2.0 * j.order_1 - h2.order_1};
    }
    const Orders01 k = scaled_k(w);
    const Complex factor = product(2 / pi * std::exp(-w), inverse(root(w)));
    return {product(-i * factor, k.order_0), -product(factor, k.order_1)};
}

Orders01 hankel2_01(Complex z) {
    const Orders01 mirrored = hankel1_01(std::conj(z));
    return {std::conj(mirrored.order_0), std::conj(mirrored.order_1)};
}

Orders01 bessel_j01(Complex z) {
    if (std::abs(z) < 6) return power_series_j(z);
    const Orders01 h1 = hankel1_01(z), h2 = hankel2_01(z);
    return {0.5 * (h1.order_0 + h2.order_0), 0.5 * (h1.order_1 + h2.order_1)};
}

}  // namespace ampturn::model::contours
