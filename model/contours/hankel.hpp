#pragma once

#include <complex>

namespace ampturn::model::contours {

/// Bessel or Hankel functions of orders 0 and 1 of one complex argument.
struct Orders01 {
    std::complex<double> order_0, order_1;
};

/// J0, J1 in the right half plane. |z| < 6 by the power series, else half the sum of the Hankel functions.
/// Accuracy: 1e-14 relative to e^{|Im z|} / sqrt(1 + |z|).
Orders01 bessel_j01(std::complex<double> z);

/// H1_0, H1_1 (first kind) and H2_0, H2_1 (second kind), Re z > 0 or z in the closed upper (first kind) or
/// lower (second kind) half plane, |z| >= 1. Accuracy: 1e-14 relative.
/// From K_n(w) e^w = w^{-1/2} int e^{-v^2} ... dv over the real line by the trapezoidal rule, which converges
/// geometrically; |z| > 40 by the asymptotic series. Source of the integral: Abramowitz & Stegun (1964), 9.6.23.
Orders01 hankel1_01(std::complex<double> z);
Orders01 hankel2_01(std::complex<double> z);

}  // namespace ampturn::model::contours
