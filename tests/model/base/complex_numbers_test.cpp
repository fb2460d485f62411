#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <cstdint>
#include <cstring>
#include <limits>
#include <random>

#include "model/base/complex_root.hpp"

namespace complex_numbers_test {

using Complex = std::complex<double>;

std::uint64_t bits(double x) {
    std::uint64_t out;
    std::memcpy(&out, &x, sizeof out);
    return out;
}

/// ISO/IEC 9899:2011, Annex G.5.1, from memory, for finite numbers.
Complex divided(Complex n, Complex d) {
    const int exponent = std::ilogb(std::fmax(std::fabs(d.real()), std::fabs(d.imag())));
    const double c = std::scalbn(d.real(), -exponent), s = std::scalbn(d.imag(), -exponent),
                 below = c * c + s * s;
    return {std::scalbn((n.real() * c + n.imag() * s) / below, -exponent),
            std::scalbn((n.imag() * c - n.real() * s) / below, -exponent)};
}

/// Of any size between 10^-size and 10^size.
Complex drawn(std::mt19937_64& random, double size) {
    const auto real = [&] {
        const double u = static_cast<double>(random() >> 11) * 0x1p-53,
                     v = static_cast<double>(random() >> 11) * 0x1p-53;
        return (2 * u - 1) * std::pow(10, size * (2 * v - 1));
    };
    const double re = real();
    return {re, real()};
}

TEST(ComplexNumbers, AreDividedAsTheStandardSaysToTheBit) {
    // Independent: the recommended algorithm of the C standard, written with its own functions.
    std::mt19937_64 random(7);
    for (const double size : {1.0, 20.0, 150.0})
        for (int i = 0; i < 20'000; ++i) {
            const Complex n = drawn(random, size), d = drawn(random, size);
            volatile double parts[] = {n.real(), n.imag(), d.real(),
                                       d.imag()};  // nothing is known when it is compiled
            const Complex got = Complex(parts[0], parts[1]) / Complex(parts[2], parts[3]),
                          want = divided(n, d);
            ASSERT_EQ(bits(got.real()), bits(want.real())) << n << " / " << d;
            ASSERT_EQ(bits(got.imag()), bits(want.imag())) << n << " / " << d;
        }
}

TEST(ComplexNumbers, DividedByTinyAndHugeOnesAreRight) {
    // Identity: a / a = 1 whatever the size, down to what has lost digits; near the largest number its sums do not fit.
    for (const double size : {5e-324, 1e-310, 1e-300, 1.0, 1e300})
        for (const Complex turned : {Complex(1, 0), Complex(0, 1), Complex(-0.5, 0.5)}) {
            volatile double re = size * turned.real(), im = size * turned.imag();
            if (re == 0 && im == 0) continue;  // half of the least number
            const Complex a(re, im), one = a / a;
            EXPECT_DOUBLE_EQ(one.real(), 1) << a;
            EXPECT_DOUBLE_EQ(one.imag(), 0) << a;
        }
}

TEST(ComplexNumbers, WhatIsNotFiniteIsDividedAsTheStandardSays) {
    // Published: ISO/IEC 9899:2011, Annex G.5.1, from memory: infinite by finite is infinite, finite by infinite zero, by zero infinite.
    volatile double infinity = std::numeric_limits<double>::infinity(), nothing = 0, one = 1;
    EXPECT_TRUE(std::isinf((Complex(infinity, one) / Complex(one, one)).real()));
    EXPECT_EQ((Complex(one, one) / Complex(infinity, one)), Complex(0, 0));
    EXPECT_TRUE(std::isinf((Complex(one, one) / Complex(nothing, nothing)).real()));
    EXPECT_TRUE(std::isnan((Complex(nothing, nothing) / Complex(nothing, nothing)).real()));
}

TEST(ComplexNumbers, TheRootSquaredIsTheNumber) {
    // Identity: r^2 = z, Re r >= 0; the sign of Im r is that of Im z.
    std::mt19937_64 random(8);
    for (int i = 0; i < 20'000; ++i) {
        const Complex z = drawn(random, 60), root = ampturn::model::principal_root(z);
        ASSERT_LE(std::abs(root * root - z), 2e-15 * std::abs(z)) << z;
        ASSERT_GE(root.real(), 0) << z;
        ASSERT_GE(root.imag() * z.imag(), 0) << z;
    }
    EXPECT_EQ(ampturn::model::principal_root({-4, 0}), Complex(0, 2));
    EXPECT_EQ(ampturn::model::principal_root({4, 0}), Complex(2, 0));
}

}  // namespace complex_numbers_test
