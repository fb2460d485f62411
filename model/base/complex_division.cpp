// What a compiler calls for a / b of complex numbers. Its own runtime library has it too, in a way that changed from version to
// version, and some standard libraries divide in their headers by the recommended way of the C standard instead. This is that
// way, so that all programs divide alike, to the bit, whatever they are built with; linked before the compiler's own.
// Source: ISO/IEC 9899:2011, Annex G.5.1, from memory: scale the divisor by a power of two, then (a + ib)(c - id)/(c^2 + d^2).
#include <cmath>
#include <cstdint>
#include <cstring>

namespace {

/// 2^exponent; -1022 <= exponent <= 1023.
double power_of_two(int exponent) {
    const auto bits = static_cast<std::uint64_t>(exponent + 1023) << 52;
    double power;
    std::memcpy(&power, &bits, sizeof power);
    return power;
}

/// The exponent of a normal number; outside -1022 .. 1023 for all others.
int exponent_of(double x) {
    std::uint64_t bits;
    std::memcpy(&bits, &x, sizeof bits);
    const int biased = static_cast<int>(bits >> 52 & 0x7ff);
    return biased == 0 ? -1023 : biased - 1023;
}

struct Pair {
    double re, im;
};

/// Of infinities, and zero divisors: what the fields of this project never hold, but what the standard says of them.
Pair special(double a, double b, double c, double d, double below, Pair quotient) {
    const auto unit = [](double x) { return std::copysign(std::isinf(x) ? 1.0 : 0.0, x); };
    if (below == 0 && (!std::isnan(a) || !std::isnan(b)))
        return {std::copysign(INFINITY, c) * a, std::copysign(INFINITY, c) * b};
    if ((std::isinf(a) || std::isinf(b)) && std::isfinite(c) && std::isfinite(d))
        return {INFINITY * (unit(a) * c + unit(b) * d), INFINITY * (unit(b) * c - unit(a) * d)};
    if ((std::isinf(c) || std::isinf(d)) && std::isfinite(a) && std::isfinite(b))
        return {0.0 * (a * unit(c) + b * unit(d)), 0.0 * (b * unit(c) - a * unit(d))};
    return quotient;
}

}  // namespace

__extension__ typedef double _Complex Quotient;  // the type of C, which C++ has no name for
// NOLINTNEXTLINE(readability-identifier-naming,bugprone-reserved-identifier): the compiler asks for this name
extern "C" Quotient __divdc3(double a, double b, double c, double d);
// NOLINTNEXTLINE(readability-identifier-naming,bugprone-reserved-identifier)
extern "C" Quotient __divdc3(double a, double b, double c, double d) {
    const double larger = std::fmax(std::fabs(c), std::fabs(d));
    int exponent = exponent_of(larger);
    double re, im, below;
    if (exponent >= -1022 && exponent <= 1022) {
        const double scale = power_of_two(-exponent);
        c *= scale;
        d *= scale;
        below = c * c + d * d;
        re = (a * c + b * d) / below * scale;
        im = (b * c - a * d) / below * scale;
    } else {
        exponent = std::isfinite(larger) && larger != 0 ? std::ilogb(larger) : 0;
        c = std::scalbn(c, -exponent);
        d = std::scalbn(d, -exponent);
        below = c * c + d * d;
        re = std::scalbn((a * c + b * d) / below, -exponent);
        im = std::scalbn((b * c - a * d) / below, -exponent);
    }
    Pair quotient{re, im};
    if (std::isnan(re) && std::isnan(im)) quotient = special(a, b, c, d, below, quotient);
    Quotient result;
    __real__ result = quotient.re;
    __imag__ result = quotient.im;
    return result;
}
