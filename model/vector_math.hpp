#pragma once

#include <bit>
#include <cmath>
#include <cstdint>

/// Complex arithmetic written as straight lines of doubles, so that a plain loop over it vectorises, with the
/// same bits whatever the vector width: only +, -, *, / and sqrt, no fused operation, no library call.
namespace ampturn::model::lane {

#define AMPTURN_LANE [[gnu::always_inline]] inline

struct C {
    double re, im;
};

AMPTURN_LANE C operator+(C a, C b) { return {a.re + b.re, a.im + b.im}; }
AMPTURN_LANE C operator-(C a, C b) { return {a.re - b.re, a.im - b.im}; }
AMPTURN_LANE C operator*(C a, C b) { return {a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re}; }
AMPTURN_LANE C operator*(double a, C b) { return {a * b.re, a * b.im}; }

/// 1/a; |a|^2 must neither overflow nor underflow.
AMPTURN_LANE C reciprocal(C a) {
    const double s = 1 / (a.re * a.re + a.im * a.im);
    return {a.re * s, -(a.im * s)};
}

/// Square root with a real part >= 0; a != 0, |a|^2 must neither overflow nor underflow. 2 ulp.
AMPTURN_LANE C root(C a) {
    const double magnitude = std::sqrt(a.re * a.re + a.im * a.im);
    const double large = std::sqrt(0.5 * (magnitude + std::fabs(a.re)));
    const double small = 0.5 * std::fabs(a.im) / large;
    const double im = a.re >= 0 ? small : large;
    return {a.re >= 0 ? large : small, a.im < 0 ? -im : im};
}

/// e^{-a}; Re a below -700 not allowed, above 200 taken as 200 (1e-87: nothing is added to it here that is
/// not larger by more than a double can tell). |Im a| < 1e9. 2 ulp of the magnitude for |Im a| < 1e4, then Im
/// a's own rounding.
AMPTURN_LANE C exp_minus(C a) {
    const double x = a.re > 200 ? -200.0 : -a.re;
    // Adding and taking away 1.5 * 2^52 rounds to the nearest integer and leaves it in the low bits.
    constexpr double shift = 6755399441055744.0;
    const double n_shifted = x * 1.4426950408889634 + shift;
    const double n = n_shifted - shift;
    const double r = (x - n * 0.693147180369123816490) - n * 1.90821492927058770002e-10;
    double p = 1.0 / 6227020800.0;
    p = p * r + 1.0 / 479001600.0;
    p = p * r + 1.0 / 39916800.0;
    p = p * r + 1.0 / 3628800.0;
    p = p * r + 1.0 / 362880.0;
    p = p * r + 1.0 / 40320.0;
    p = p * r + 1.0 / 5040.0;
    p = p * r + 1.0 / 720.0;
    p = p * r + 1.0 / 120.0;
    p = p * r + 1.0 / 24.0;
    p = p * r + 1.0 / 6.0;
    p = p * r + 0.5;
    p = p * r + 1.0;
    p = p * r + 1.0;
    const double scale =
        std::bit_cast<double>((std::bit_cast<std::uint64_t>(n_shifted) << 52) + 0x3ff0000000000000ULL);
    const double magnitude = p * scale;

    const double y = a.im;
    const double q_shifted = y * 0.63661977236758134308 + shift;
    const double q = q_shifted - shift;
    const double t = ((y - q * 1.57079632673412561417e+00) - q * 6.07710050630396597660e-11) -
                     q * 2.02226624879595063154e-21;
    const double s = t * t;
    double sine = -1.0 / 1307674368000.0;
    sine = sine * s + 1.0 / 6227020800.0;
    sine = sine * s - 1.0 / 39916800.0;
    sine = sine * s + 1.0 / 362880.0;
    sine = sine * s - 1.0 / 5040.0;
    sine = sine * s + 1.0 / 120.0;
    sine = sine * s - 1.0 / 6.0;
    sine = (sine * s) * t + t;
    double cosine = 1.0 / 20922789888000.0;
    cosine = cosine * s - 1.0 / 87178291200.0;
    cosine = cosine * s + 1.0 / 479001600.0;
    cosine = cosine * s - 1.0 / 3628800.0;
    cosine = cosine * s + 1.0 / 40320.0;
    cosine = cosine * s - 1.0 / 720.0;
    cosine = cosine * s + 1.0 / 24.0;
    cosine = cosine * s - 0.5;
    cosine = cosine * s + 1.0;
    const std::uint64_t quadrant = std::bit_cast<std::uint64_t>(q_shifted);
    const std::uint64_t odd = 0 - (quadrant & 1);  // all ones in odd quadrants
    const std::uint64_t sine_bits = std::bit_cast<std::uint64_t>(sine);
    const std::uint64_t cosine_bits = std::bit_cast<std::uint64_t>(cosine);
    const std::uint64_t sine_sign = (quadrant & 2) << 62;
    const std::uint64_t cosine_sign = ((quadrant + 1) & 2) << 62;
    const double sin_y = std::bit_cast<double>(((cosine_bits & odd) | (sine_bits & ~odd)) ^ sine_sign);
    const double cos_y = std::bit_cast<double>(((sine_bits & odd) | (cosine_bits & ~odd)) ^ cosine_sign);
    return {magnitude * cos_y, -(magnitude * sin_y)};
}

}  // namespace ampturn::model::lane
