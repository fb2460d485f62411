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

/// Vectors of 4 or 8 doubles; GCC and Clang lower them to what the target has. What a lane computes does not
/// depend on the width.
template <std::size_t width>
struct Vectors;
template <>
struct Vectors<4> {
    using Real = double __attribute__((vector_size(32)));
    using Bits = std::uint64_t __attribute__((vector_size(32)));
};
template <>
struct Vectors<8> {
    using Real = double __attribute__((vector_size(64)));
    using Bits = std::uint64_t __attribute__((vector_size(64)));
};
template <std::size_t width>
using V = typename Vectors<width>::Real;

template <std::size_t width>
AMPTURN_LANE V<width> load(const double* from) {
    V<width> v;
    std::memcpy(&v, from, sizeof v);
    return v;
}
template <class Real>
AMPTURN_LANE void store(double* to, Real v) {
    std::memcpy(to, &v, sizeof v);
}
template <std::size_t width>
AMPTURN_LANE V<width> all(double x) {
    return x - V<width>{};
}
template <std::size_t width>
AMPTURN_LANE V<width> absolute(V<width> v) {
    using Bits = typename Vectors<width>::Bits;
    return (V<width>)((Bits)v & 0x7fffffffffffffffULL);
}
template <std::size_t width>
AMPTURN_LANE V<width> square_root(V<width> v) {
    V<width> r;
    for (std::size_t i = 0; i < width; ++i) r[i] = std::sqrt(v[i]);
    return r;
}

template <std::size_t width>
struct C {
    V<width> re, im;
};
/// The same number in every lane.
template <std::size_t width>
AMPTURN_LANE C<width> all(std::complex<double> z) {
    return {all<width>(z.real()), all<width>(z.imag())};
}

template <std::size_t width>
AMPTURN_LANE C<width> operator+(C<width> a, C<width> b) {
    return {a.re + b.re, a.im + b.im};
}
template <std::size_t width>
AMPTURN_LANE C<width> operator-(C<width> a, C<width> b) {
    return {a.re - b.re, a.im - b.im};
}
template <std::size_t width>
AMPTURN_LANE C<width> operator*(C<width> a, C<width> b) {
    return {a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
}
template <std::size_t width>
AMPTURN_LANE C<width> operator*(V<width> a, C<width> b) {
    return {a * b.re, a * b.im};
}
template <std::size_t width>
AMPTURN_LANE C<width> operator*(double a, C<width> b) {
    return {a * b.re, a * b.im};
}

/// 1/a; |a|^2 must neither overflow nor underflow.
template <std::size_t width>
AMPTURN_LANE C<width> reciprocal(C<width> a) {
    const V<width> s = 1.0 / (a.re * a.re + a.im * a.im);
    return {a.re * s, -(a.im * s)};
}

/// Square root with a real part >= 0; a != 0, |a|^2 must neither overflow nor underflow. 2 ulp.
template <std::size_t width>
AMPTURN_LANE C<width> root(C<width> a) {
    const V<width> magnitude = square_root<width>(a.re * a.re + a.im * a.im);
    const V<width> large = square_root<width>(0.5 * (magnitude + absolute<width>(a.re)));
    const V<width> small = 0.5 * absolute<width>(a.im) / large;
    const V<width> im = a.re >= 0.0 ? small : large;
    return {a.re >= 0.0 ? large : small, a.im < 0.0 ? -im : im};
}

/// e^{-a}; Re a below -700 not allowed, above 200 taken as 200 (1e-87: nothing is added to it here that is not larger
/// by more than a double can tell). |Im a| < 1e9. 2 ulp of the magnitude for |Im a| < 1e4, then Im a's own rounding.
template <std::size_t width>
AMPTURN_LANE C<width> exp_minus(C<width> a) {
    using Bits = typename Vectors<width>::Bits;
    const V<width> x = a.re > 200.0 ? all<width>(-200.0) : -a.re;
    // Adding and taking away 1.5 * 2^52 rounds to the nearest integer and leaves it in the low bits.
    constexpr double shift = 6755399441055744.0;
    const V<width> n_shifted = x * 1.4426950408889634 + shift;
    const V<width> n = n_shifted - shift;
    const V<width> r = (x - n * 0.693147180369123816490) - n * 1.90821492927058770002e-10;
    V<width> p = r * (1.0 / 6227020800.0) + 1.0 / 479001600.0;
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
    const V<width> scale = (V<width>)(((Bits)n_shifted << 52) + 0x3ff0000000000000ULL);
    const V<width> magnitude = p * scale;

    const V<width> y = a.im;
    const V<width> q_shifted = y * 0.63661977236758134308 + shift;
    const V<width> q = q_shifted - shift;
    const V<width> t = ((y - q * 1.57079632673412561417e+00) - q * 6.07710050630396597660e-11) -
                       q * 2.02226624879595063154e-21;
    const V<width> s = t * t;
    V<width> sine = s * (-1.0 / 1307674368000.0) + 1.0 / 6227020800.0;
    sine = sine * s - 1.0 / 39916800.0;
    sine = sine * s + 1.0 / 362880.0;
    sine = sine * s - 1.0 / 5040.0;
    sine = sine * s + 1.0 / 120.0;
    sine = sine * s - 1.0 / 6.0;
    sine = (sine * s) * t + t;
    V<width> cosine = s * (1.0 / 20922789888000.0) - 1.0 / 87178291200.0;
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
    const V<width> sin_y = (V<width>)(((cosine_bits & odd) | (sine_bits & ~odd)) ^ sine_sign);
    const V<width> cos_y = (V<width>)(((sine_bits & odd) | (cosine_bits & ~odd)) ^ cosine_sign);
    return {magnitude * cos_y, -(magnitude * sin_y)};
}

/// (1 - e^{-x})/x by its series, |x| < 0.3: the mean of e^{-t} from 0 to x.
template <std::size_t width>
AMPTURN_LANE C<width> mean_exp_minus_series(C<width> x) {
    auto sum = all<width>(std::complex<double>(1));
    for (int k = 14; k > 1; --k) {
        sum = (-1.0 / k) * (x * sum);
        sum.re += 1.0;
    }
    return sum;
}

/// (1 - e^{-x})/x, the mean of e^{-t} from 0 to x; x as of exp_minus(). A few ulp.
template <std::size_t width>
AMPTURN_LANE C<width> mean_exp_minus(C<width> x) {
    const C<width> series = mean_exp_minus_series(x), e = exp_minus(x);
    const auto small = x.re * x.re + x.im * x.im < 0.09;
    const C<width> divisor{small ? all<width>(1.0) : x.re, small ? all<width>(0.0) : x.im};
    const C<width> quotient = C<width>{1.0 - e.re, -e.im} * reciprocal(divisor);
    return {small ? series.re : quotient.re, small ? series.im : quotient.im};
}

}  // namespace ampturn::model::lane
