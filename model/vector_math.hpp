#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <cstring>

/// Complex arithmetic on several numbers at once, with the same bits whatever instruction set runs it: only
/// +, -, *, / and sqrt, no fused operation, no library call.
namespace ampturn::model::lane {

#define AMPTURN_LANE [[gnu::always_inline]] inline

/// Four doubles; GCC and Clang lower them to whatever vectors the target has.
using V = double __attribute__((vector_size(32)));
using Bits = std::uint64_t __attribute__((vector_size(32)));
inline constexpr std::size_t width = 4;

AMPTURN_LANE V load(const double* from) {
    V v;
    std::memcpy(&v, from, sizeof v);
    return v;
}
AMPTURN_LANE void store(double* to, V v) { std::memcpy(to, &v, sizeof v); }
AMPTURN_LANE V all(double x) { return V{x, x, x, x}; }
AMPTURN_LANE V absolute(V v) { return (V)((Bits)v & 0x7fffffffffffffffULL); }
AMPTURN_LANE V square_root(V v) {
    V r;
    for (std::size_t i = 0; i < width; ++i) r[i] = std::sqrt(v[i]);
    return r;
}

struct C {
    V re, im;
};
/// The same number in every lane.
AMPTURN_LANE C all(std::complex<double> z) { return {all(z.real()), all(z.imag())}; }

AMPTURN_LANE C operator+(C a, C b) { return {a.re + b.re, a.im + b.im}; }
AMPTURN_LANE C operator-(C a, C b) { return {a.re - b.re, a.im - b.im}; }
AMPTURN_LANE C operator*(C a, C b) { return {a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re}; }
AMPTURN_LANE C operator*(V a, C b) { return {a * b.re, a * b.im}; }
AMPTURN_LANE C operator*(double a, C b) { return {a * b.re, a * b.im}; }

/// 1/a; |a|^2 must neither overflow nor underflow.
AMPTURN_LANE C reciprocal(C a) {
    const V s = 1.0 / (a.re * a.re + a.im * a.im);
    return {a.re * s, -(a.im * s)};
}

/// Square root with a real part >= 0; a != 0, |a|^2 must neither overflow nor underflow. 2 ulp.
AMPTURN_LANE C root(C a) {
    const V magnitude = square_root(a.re * a.re + a.im * a.im);
    const V large = square_root(0.5 * (magnitude + absolute(a.re)));
    const V small = 0.5 * absolute(a.im) / large;
    const V im = a.re >= 0.0 ? small : large;
    return {a.re >= 0.0 ? large : small, a.im < 0.0 ? -im : im};
}

/// e^{-a}; Re a below -700 not allowed, above 200 taken as 200 (1e-87: nothing is added to it here that is
/// not larger by more than a double can tell). |Im a| < 1e9. 2 ulp of the magnitude for |Im a| < 1e4, then Im
/// a's own rounding.
AMPTURN_LANE C exp_minus(C a) {
    const V x = a.re > 200.0 ? all(-200.0) : -a.re;
    // Adding and taking away 1.5 * 2^52 rounds to the nearest integer and leaves it in the low bits.
    constexpr double shift = 6755399441055744.0;
    const V n_shifted = x * 1.4426950408889634 + shift;
    const V n = n_shifted - shift;
    const V r = (x - n * 0.693147180369123816490) - n * 1.90821492927058770002e-10;
    V p = r * (1.0 / 6227020800.0) + 1.0 / 479001600.0;
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
    const V scale = (V)(((Bits)n_shifted << 52) + 0x3ff0000000000000ULL);
    const V magnitude = p * scale;

    const V y = a.im;
    const V q_shifted = y * 0.63661977236758134308 + shift;
    const V q = q_shifted - shift;
    const V t = ((y - q * 1.57079632673412561417e+00) - q * 6.07710050630396597660e-11) -
                q * 2.02226624879595063154e-21;
    const V s = t * t;
    V sine = s * (-1.0 / 1307674368000.0) + 1.0 / 6227020800.0;
    sine = sine * s - 1.0 / 39916800.0;
    sine = sine * s + 1.0 / 362880.0;
    sine = sine * s - 1.0 / 5040.0;
    sine = sine * s + 1.0 / 120.0;
    sine = sine * s - 1.0 / 6.0;
    sine = (sine * s) * t + t;
    V cosine = s * (1.0 / 20922789888000.0) - 1.0 / 87178291200.0;
    cosine = cosine * s + 1.0 / 479001600.0;
    cosine = cosine * s - 1.0 / 3628800.0;
    cosine = cosine * s + 1.0 / 40320.0;
    cosine = cosine * s - 1.0 / 720.0;
    cosine = cosine * s + 1.0 / 24.0;
    cosine = cosine * s - 0.5;
    cosine = cosine * s + 1.0;
    const Bits quadrant = (Bits)q_shifted;
    const Bits odd = -(quadrant & 1);  // all ones in odd quadrants
    const Bits sine_bits = (Bits)sine;
    const Bits cosine_bits = (Bits)cosine;
    const Bits sine_sign = (quadrant & 2) << 62;
    const Bits cosine_sign = ((quadrant + 1) & 2) << 62;
    const V sin_y = (V)(((cosine_bits & odd) | (sine_bits & ~odd)) ^ sine_sign);
    const V cos_y = (V)(((sine_bits & odd) | (cosine_bits & ~odd)) ^ cosine_sign);
    return {magnitude * cos_y, -(magnitude * sin_y)};
}

}  // namespace ampturn::model::lane
