#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <complex>

#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"
#include "model/fields/point_fields.hpp"
#include "model/ground/earth.hpp"
#include "model/ground/plane_wave.hpp"
#include "tests/outside_check.hpp"

// Anisotropic and polarisable ground against published formulas, evaluated here by other means.

namespace fields_ground_test {

using namespace ampturn::model;
using namespace ampturn::model::fields;
using namespace ampturn::model::ground;
using Complex = std::complex<double>;

LayeredEarth ground(const Layer& layer) { return LayeredEarth(std::vector<Layer>{layer}); }

/// Fields of a horizontal dipole raised by h at a receiver raised by z over one half-space whose vertical
/// conductivity is that of the horizontal over `ratio`, by the plainest means: real wavenumbers, the midpoint
/// rule between and beyond k0 (lambda = k0 sin t, k0 cosh t removes the branch point), library Bessel
/// functions. Reflection of TM waves by a ground with a vertical axis of symmetry: u_v = sqrt(lambda^2
/// y_h/y_v - k^2), impedance u_v/y_h; TE waves do not see the vertical conductivity. Sources: Kong (1972),
/// Geophysics 37, 985; Ward & Hohmann (1988) for the potentials (from memory). Both heights together 30 m or
/// more, so that the integrand is gone at lambda = 1.5.
struct PlainSum {
    Complex p0, p1, q0, q1, pz, s0, s1, k0, k1;
};
PlainSum plain_integrals(Complex y_h, Complex y_v, double f, double r, double h, double z) {
    const double omega = 2 * pi * f, k0 = omega * std::sqrt(mu0_h_per_m * eps0_f_per_m);
    const Complex y0(0, omega * eps0_f_per_m), zh(0, omega * mu0_h_per_m);
    PlainSum sum{};
    auto add = [&](double lambda, Complex u0, Complex weight) {
        const Complex u = std::sqrt(lambda * lambda + zh * y_h);
        const Complex u_v = std::sqrt(lambda * lambda * y_h / y_v + zh * y_h);
        const Complex te = (u0 - u) / (u0 + u), tm = (u0 - y0 * u_v / y_h) / (u0 + y0 * u_v / y_h);
        const double sign = h >= z ? 1 : -1;
        const Complex d = std::exp(-u0 * std::abs(h - z)), image = std::exp(-u0 * (h + z));
        const Complex p = sign * d + te * image, q = -d + te * image, s = -sign * d + tm * image,
                      k = (d + tm * image) / u0;
        const Complex j0 = weight * std::cyl_bessel_j(0, lambda * r),
                      j1 = weight * std::cyl_bessel_j(1, lambda * r);
        sum.p0 += p * lambda * j0;
        sum.p1 += p * j1;
        sum.q0 += q * u0 * lambda * j0;
        sum.q1 += q * u0 * j1;
        sum.pz += p * lambda * lambda * j1;
        sum.s0 += s * lambda * j0;
        sum.s1 += s * j1;
        sum.k0 += k0 * k0 * k * lambda * j0;
        sum.k1 += k0 * k0 * k * j1;
    };
    constexpr int steps = 4000;
    for (int i = 0; i < steps; ++i) {
        const double t = (i + 0.5) / steps * pi / 2, dt = pi / 2 / steps;
        add(k0 * std::sin(t), Complex(0, k0 * std::cos(t)), k0 * std::cos(t) * dt);
    }
    const double last = std::acosh(1.5 / k0);
    constexpr int far_steps = 40000;
    for (int i = 0; i < far_steps; ++i) {
        const double t = (i + 0.5) / far_steps * last, dt = last / far_steps;
        add(k0 * std::cosh(t), k0 * std::sinh(t), k0 * std::sinh(t) * dt);
    }
    return sum;
}

TEST(FieldGround, HorizontalDipoleOverAnisotropicGroundMatchesPlainIntegration) {
    const double h = 28, z = 9;
    ampturn::test::OutsideCheck check("fields over anisotropic ground",
                                      "plain midpoint sums with Kong's (1972) reflection, from memory",
                                      "of the vector");
    for (const double f : {1e5, 1e6})
        for (const double ratio : {0.2, 1.0, 16.0})
            for (const double r : {40.0, 150.0}) {
                const double rho = 300, eps_r = 8, omega = 2 * pi * f;
                const Complex displacement(0, omega * eps0_f_per_m * eps_r);
                const PlainSum x =
                    plain_integrals(1 / rho + displacement, 1 / (rho * ratio) + displacement, f, r, h, z);
                const double a = 1 / (4 * pi), cosine = 0.6,
                             sine = 0.8;  // receiver seen from the moment (along x)
                const Complex zh(0, omega * mu0_h_per_m);
                const Complex e_phi = zh * a * cosine * (x.p0 - (x.p1 + x.s1) / r);
                const Complex e_r = zh * a * sine * (-x.s0 + (x.p1 + x.s1) / r);
                const Complex h_r = a * cosine * (x.q0 - (x.q1 - x.k1) / r);
                const Complex h_phi = -a * sine * (x.k0 + (x.q1 - x.k1) / r);
                const Fields plain{cosine * e_r - sine * e_phi, sine * e_r + cosine * e_phi,
                                   cosine * h_r - sine * h_phi, sine * h_r + cosine * h_phi,
                                   a * cosine * x.pz};
                const LayeredEarth earth = ground({.resistivity_ohm_m = rho,
                                                   .relative_permittivity = eps_r,
                                                   .vertical_resistivity_ratio = ratio});
                const Fields ours = field(earth, f, Dipole{.moment_a_m2 = {1, 0, 0}, .height_m = h},
                                          {cosine * r, sine * r, -z})
                                        .fields;
                // The midpoint rule's own error: at most 9e-8, a quarter of it with twice as many steps.
                const std::string where = std::to_string(static_cast<int>(f)) + " Hz, " +
                                          std::to_string(static_cast<int>(r)) + " m ";
                check.error(e_size(ours - plain) / e_size(plain), 2e-7, where + "E");
                check.error(h_size(ours - plain) / h_size(plain), 2e-7, where + "H");
                if (ratio == 1) continue;
                // The test would not be worth much if the ratio hardly mattered.
                const Fields isotropic =
                    field(ground({.resistivity_ohm_m = rho, .relative_permittivity = eps_r}), f,
                          Dipole{.moment_a_m2 = {1, 0, 0}, .height_m = h}, {cosine * r, sine * r, -z})
                        .fields;
                EXPECT_GE(e_size(ours - isotropic), 1e-4 * e_size(ours)) << f << ' ' << ratio << ' ' << r;
            }
}

TEST(FieldGround, VerticalDipoleAndPlaneWaveAreBlindToVerticalResistivity) {
    // Their currents in the ground are horizontal (TE). Source: Kong (1972), Geophysics 37, 985 (from memory).
    Layer upper{.resistivity_ohm_m = 30, .thickness_m = 15, .relative_permittivity = 10};
    Layer lower{.resistivity_ohm_m = 400, .relative_permittivity = 6};
    const LayeredEarth isotropic({upper, lower});
    upper.vertical_resistivity_ratio = 20;
    lower.vertical_resistivity_ratio = 0.1;
    const LayeredEarth anisotropic({upper, lower});
    for (const double f : {100.0, 1e4, 1e6}) {
        const Dipole d{.moment_a_m2 = {0, 0, 1}, .height_m = 2};
        const Fields a = field(isotropic, f, d, {60, 80, -1}).fields,
                     b = field(anisotropic, f, d, {60, 80, -1}).fields;
        EXPECT_LE(e_size(a - b), 1e-11 * e_size(a)) << f;
        EXPECT_LE(h_size(a - b), 1e-11 * h_size(a)) << f;
        EXPECT_EQ(plane_wave_impedance_ohm(isotropic, f), plane_wave_impedance_ohm(anisotropic, f));
    }
}

/// Resistivity of a polarisable layer at an angular frequency, from the ground's admittivity.
Complex resistivity(const ColeCole& cole_cole, double omega) {
    return 1.0 / ground({.resistivity_ohm_m = 100, .cole_cole = cole_cole})
                     .admittivity(0, omega, false)
                     .horizontal_s_per_m;
}

TEST(FieldGround, ColeColeResistivityHasThePublishedValues) {
    // Closed form of the published model:
    // rho/rho0 = 1 - m (1 - 1/(1 + (i omega tau)^c)), Pelton et al. (1978), Geophysics 43, 588 (from memory);
    // by hand at omega tau = 1: 1/(1+i) = (1-i)/2, and 1/(1+i^(1/2)) = 1/2 - i tan(pi/8)/2.
    const double tau = 0.02, at_one = 1 / tau;
    const Complex debye = resistivity({.chargeability = 0.5, .time_constant_s = tau, .exponent = 1}, at_one);
    EXPECT_NEAR(debye.real(), 75, 1e-12 * 75);
    EXPECT_NEAR(debye.imag(), -25, 1e-12 * 75);
    const Complex half = resistivity({.chargeability = 0.6, .time_constant_s = tau, .exponent = 0.5}, at_one);
    EXPECT_NEAR(half.real(), 70, 1e-12 * 70);
    EXPECT_NEAR(half.imag(), -60 * std::tan(pi / 8) / 2, 1e-12 * 70);
    // Ends: rho0 at direct current, rho0 (1 - m) at high frequency.
    const ColeCole c{.chargeability = 0.4, .time_constant_s = tau, .exponent = 0.8};
    EXPECT_NEAR(std::abs(resistivity(c, 1e-12 / tau)), 100, 1e-7);
    EXPECT_NEAR(std::abs(resistivity(c, 1e12 / tau)), 60, 1e-7);
    // The phase is largest at omega tau = (1 - m)^(-1/(2c)) and alike a factor above and below it (the same source).
    const double peak = std::pow(1 - c.chargeability, -1 / (2 * c.exponent)) / tau;
    const double top = -std::arg(resistivity(c, peak));
    for (const double factor : {1.01, 3.0}) {
        const double above = -std::arg(resistivity(c, peak * factor)),
                     below = -std::arg(resistivity(c, peak / factor));
        EXPECT_LT(above, top);
        EXPECT_NEAR(above, below, 1e-12);
    }
}

TEST(FieldGround, PolarisableHalfSpaceIsOneOfComplexResistivity) {
    // Vertical dipole on the surface, quasi-static. Closed form with complex resistivity: Ward & Hohmann (1988), eqs.
    // 4.56 and 4.69 (from memory); the resistivity by the formula of Pelton et al. (1978), written out here.
    const double rho0 = 100, m = 0.7, tau = 1e-4, c = 0.6, r = 200;
    const LayeredEarth earth =
        ground({.resistivity_ohm_m = rho0,
                .cole_cole = ColeCole{.chargeability = m, .time_constant_s = tau, .exponent = c}});
    for (const double f : {200.0, 2e3, 2e4}) {
        const Complex i_omega(0, 2 * pi * f);
        const Complex rho = rho0 * (1.0 - m * (1.0 - 1.0 / (1.0 + std::pow(i_omega * tau, c))));
        const Complex g = std::sqrt(i_omega * mu0_h_per_m / rho) * r, e = std::exp(-g), g2 = g * g;
        const Complex hz = -1.0 / (2 * pi * g2 * r * r * r) * (9.0 - (9.0 + 9.0 * g + 4.0 * g2 + g2 * g) * e);
        const Complex e_phi = -rho / (2 * pi * std::pow(r, 4)) * (3.0 - (3.0 + 3.0 * g + g2) * e);
        const Fields x = field(earth, f, Dipole{.moment_a_m2 = {0, 0, 1}}, {r, 0},
                               {.wavenumbers = Wavenumbers::quasi_static})
                             .fields;
        EXPECT_LE(std::abs(x.hz_a_per_m - hz), 1e-9 * std::abs(hz)) << f;
        EXPECT_LE(std::abs(x.ey_v_per_m - e_phi), 1e-9 * std::abs(e_phi)) << f;
        // And it is not the ground without polarisation.
        const Fields plain = field(ground({.resistivity_ohm_m = rho0}), f, Dipole{.moment_a_m2 = {0, 0, 1}},
                                   {r, 0}, {.wavenumbers = Wavenumbers::quasi_static})
                                 .fields;
        EXPECT_GE(std::abs(x.ey_v_per_m - plain.ey_v_per_m), 0.01 * std::abs(plain.ey_v_per_m)) << f;
    }
}

}  // namespace fields_ground_test
