#include "model/loop/wire.hpp"

#include <cmath>
#include <complex>

#include "model/base/constants.hpp"
#include "model/base/skin_depth.hpp"

namespace ampturn::model::loop {

namespace {

using Complex = std::complex<double>;

// Above this |z| the wave of the far side of the wire is below 1e-24 and the asymptotic series of the Hankel
// functions reaches 1e-16 with the terms below; under it the continued fraction needs fewer than 70 terms.
constexpr double asymptotic_from = 40.0;

// Hankel's asymptotic sum for order n (dominant wave): sum of i^k a_k(n)/z^k.
Complex hankel_sum(double order, Complex z) {
    const double mu = 4 * order * order;
    Complex term = 1;
    Complex sum = 1;
    for (int k = 1; k <= 24; ++k) {
        const double odd = 2.0 * k - 1;
        const Complex next = term * Complex(0, (mu - odd * odd) / (8.0 * k)) / z;
        if (std::abs(next) >= std::abs(term)) break;
        term = next;
        sum += term;
        if (std::abs(term) < 1e-17) break;
    }
    return sum;
}

// z J2(z)/J1(z) for z = (1 - j) x, x >= 0.
Complex j2_over_j1_times_z(Complex z) {
    if (std::abs(z) > asymptotic_from) {
        // J0/J1 tends to H0/H1 of the wave that grows towards the surface: H_n ~ e^{i(z - n pi/2)} times the sum.
        const Complex j0_over_j1 = Complex(0, 1) * hankel_sum(0, z) / hankel_sum(1, z);
        return 2.0 - z * j0_over_j1;
    }
    // J_n/J_{n-1} = z / (2n - z J_{n+1}/J_n), from far up; w_n = z J_{n+1}/J_n stays bounded. z^2 = -2j x^2.
    const double x2 = z.real() * z.real();
    double re = 0;
    double im = 0;
    for (int n = 8 + static_cast<int>(2.0 * std::abs(z)); n >= 2; --n) {
        const double dr = 2.0 * n - re;
        const double di = -im;
        const double scale = -2 * x2 / (dr * dr + di * di);
        re = scale * di;
        im = scale * dr;
    }
    return {re, im};
}

Complex argument(double radius_over_delta) { return {radius_over_delta, -radius_over_delta}; }

}  // namespace

double Wire::radius_m() const { return std::sqrt(area_m2 / pi); }
double Wire::strand_radius_m() const { return std::sqrt(area_m2 / strands / pi); }
double Wire::resistivity_ohm_m(double temperature_c) const {
    return resistivity_20c_ohm_m * (1 + alpha20_per_k * (temperature_c - 20));
}
double Wire::resistance_dc_ohm_per_m(double temperature_c) const {
    return resistivity_ohm_m(temperature_c) / area_m2;
}

Wire wire_of_gauge(double awg) {
    const double d = 0.127e-3 * std::pow(92.0, (36.0 - awg) / 39.0);
    return {pi * d * d / 4};
}
Wire wire_of_area(double area_m2) { return {area_m2}; }

SkinEffect skin_effect(double diameter_over_skin_depth) {
    const double x = diameter_over_skin_depth / 2;
    if (x == 0) return {1, 1, 0};
    // (z/2) J0/J1 = 1 - (z/2) J2/J1, which keeps the small imaginary part exact; J1/(z J0) = 1/(2 - z J2/J1).
    const Complex w = j2_over_j1_times_z(argument(x));
    return {1 - w.real() / 2, -2 * w.imag() / (x * x), -w.imag() / std::norm(2.0 - w)};
}

WireEffect wire_effect(const Wire& wire, double temperature_c, double frequency_hz) {
    if (frequency_hz <= 0) return {1, 1, 0};
    const double rho = wire.resistivity_ohm_m(temperature_c);
    const double a = wire.strand_radius_m();
    const double delta = skin_depth_m(rho, frequency_hz);
    const SkinEffect skin = skin_effect(2 * a / delta);
    const double omega = 2 * pi * frequency_hz;
    const double a_delta = a * delta;
    // With several strands the current is spread evenly by the twist.
    return {skin.resistance_ratio, wire.strands > 1 ? 1.0 : skin.internal_inductance_ratio,
            wire.strands * (omega * omega / rho * pi * a_delta * a_delta * skin.eddy_share)};
}

double bundle_radius_m(int turns, double pitch_m) { return pitch_m / 2 * std::sqrt(turns / 0.9069); }

BundleEffect bundle_effect_estimate(const Wire& wire, int turns, double pitch_m, double temperature_c,
                                    double frequency_hz) {
    if (frequency_hz <= 0) return {1, 1, 1};
    const WireEffect alone = wire_effect(wire, temperature_c, frequency_hz);
    // Root-mean-square over the bundle of the peak field per ampere peak.
    const double b_per_ampere =
        mu0_h_per_m * turns / (2 * pi * bundle_radius_m(turns, pitch_m)) / std::sqrt(2.0);
    const double loss = alone.transverse_loss_w_per_m_t2 * b_per_ampere * b_per_ampere;
    const double half_dc_ohm_per_m = 0.5 * wire.resistivity_ohm_m(temperature_c) / wire.area_m2;
    return {alone.resistance_ratio, alone.resistance_ratio + loss / half_dc_ohm_per_m,
            alone.internal_inductance_ratio};
}

}  // namespace ampturn::model::loop
