#include "model/wire.hpp"

#include <cmath>
#include <complex>

#include "model/constants.hpp"
#include "model/skin_depth.hpp"

namespace ampturn::model {

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
    // J_n/J_{n-1} = z / (2n - z J_{n+1}/J_n), from far up; w_n = z J_{n+1}/J_n stays bounded.
    const Complex z2 = z * z;
    Complex w = 0;
    for (int n = 2 + static_cast<int>(std::abs(z)) + 40; n >= 2; --n) w = z2 / (2.0 * n - w);
    return w;
}

Complex argument(double radius_over_delta) { return {radius_over_delta, -radius_over_delta}; }

}  // namespace

double copper_resistivity_ohm_m(double temperature_c) {
    return copper_resistivity_20c_ohm_m * (1 + copper_alpha20_per_k * (temperature_c - 20));
}

double awg_diameter_m(double gauge) { return 0.127e-3 * std::pow(92.0, (36.0 - gauge) / 39.0); }

double Wire::radius_m() const { return std::sqrt(area_m2 / pi); }
double Wire::resistance_dc_ohm_per_m(double temperature_c) const {
    return copper_resistivity_ohm_m(temperature_c) / area_m2;
}
double Wire::mass_kg_per_m() const { return copper_density_kg_per_m3 * area_m2; }

Wire wire_of_gauge(double awg) {
    const double d = awg_diameter_m(awg);
    return {pi * d * d / 4};
}
Wire wire_of_area(double area_m2) { return {area_m2}; }

SkinEffect skin_effect(double diameter_over_skin_depth) {
    const double x = diameter_over_skin_depth / 2;
    if (x == 0) return {1, 1};
    // (z/2) J0/J1 = 1 - (z/2) J2/J1, which keeps the small imaginary part exact.
    const Complex w = j2_over_j1_times_z(argument(x));
    return {1 - w.real() / 2, -2 * w.imag() / (x * x)};
}

SkinEffect skin_effect(const Wire& wire, double temperature_c, double frequency_hz) {
    if (frequency_hz <= 0) return {1, 1};
    return skin_effect(2 * wire.radius_m() / skin_depth_m(copper_resistivity_ohm_m(temperature_c), frequency_hz));
}

double transverse_field_loss_w_per_m(const Wire& wire, double temperature_c, double frequency_hz,
                                     double flux_density_peak_t) {
    if (frequency_hz <= 0) return 0;
    const double rho = copper_resistivity_ohm_m(temperature_c);
    const double delta = skin_depth_m(rho, frequency_hz);
    const double omega = 2 * pi * frequency_hz;
    const double a = wire.radius_m();
    // J1/(z J0) = 1/(2 - z J2/J1); Lommel's integral leaves its imaginary part alone.
    const Complex w = j2_over_j1_times_z(argument(a / delta));
    const double imaginary = w.imag() / std::norm(2.0 - w);
    return -omega * omega / rho * pi * flux_density_peak_t * flux_density_peak_t * a * a * delta * delta *
           imaginary;
}

double transverse_field_loss_low_frequency_w_per_m(const Wire& wire, double temperature_c, double frequency_hz,
                                                   double flux_density_peak_t) {
    const double omega_b_a2 =
        2 * pi * frequency_hz * flux_density_peak_t * wire.radius_m() * wire.radius_m();
    return pi * omega_b_a2 * omega_b_a2 / (8 * copper_resistivity_ohm_m(temperature_c));
}

double bundle_radius_m(int turns, double pitch_m) { return pitch_m / 2 * std::sqrt(turns / 0.9069); }

double bundle_resistance_ratio_estimate(const Wire& wire, int turns, double pitch_m, double temperature_c,
                                        double frequency_hz) {
    const double skin = skin_effect(wire, temperature_c, frequency_hz).resistance_ratio;
    // Root-mean-square over the bundle of the peak field per ampere peak.
    const double b_per_ampere =
        mu0_h_per_m * turns / (2 * pi * bundle_radius_m(turns, pitch_m)) / std::sqrt(2.0);
    const double loss = transverse_field_loss_w_per_m(wire, temperature_c, frequency_hz, b_per_ampere);
    return skin + loss / (0.5 * wire.resistance_dc_ohm_per_m(temperature_c));
}

}  // namespace ampturn::model
