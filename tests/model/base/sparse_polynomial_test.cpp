#include "model/base/sparse_polynomial.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>
#include <vector>

namespace sparse_polynomial_test {

using ampturn::model::SparsePolynomial;

std::vector<double> powers_of(std::span<const double> x) {
    return {1 + x[0] * x[1] * x[2], x[0] * x[0] * x[1] - 3 * x[2], x[1] * x[1] * x[1]};
}
std::vector<double> waves_of(std::span<const double> x) {
    return {std::exp(0.2 * x[0] - 0.1 * x[1]) * std::cos(0.3 * x[2])};
}

template <class Function>
void raise(SparsePolynomial& polynomial, Function&& function) {
    std::vector<std::vector<double>> values;
    for (const std::vector<double>& x : polynomial.next_points()) values.push_back(function(x));
    polynomial.raise(std::move(values));
}

// Definition: polynomials of degree 3, written out above.
TEST(SparsePolynomial, IsExactForPolynomialsOfItsDegree) {
    SparsePolynomial polynomial(3);
    while (polynomial.degree() < 3) raise(polynomial, powers_of);
    EXPECT_EQ(polynomial.terms(), 20u);
    EXPECT_EQ(SparsePolynomial::terms_of(3, 3), 20u);
    for (const std::vector<double>& x :
         {std::vector{0.3, -0.7, 0.9}, {-1.0, 1.0, 1.0}, {0.11, 0.12, -0.13}}) {
        const std::vector<double> got = polynomial.at(x), truth = powers_of(x);
        for (std::size_t i = 0; i < truth.size(); ++i) EXPECT_NEAR(got[i], truth[i], 1e-14);
    }
}

// Each degree takes its share off the error, within 2.5 standard deviations.
TEST(SparsePolynomial, ComesNearerWithEachTwoDegrees) {
    SparsePolynomial polynomial(3);
    const auto worst = [&] {
        double error = 0;
        for (double a : {-2.0, -0.2, 1.5, 2.5})
            for (double b : {-2.5, -0.4, 0.3, 2.0})
                for (double c : {-1.8, 0.1, 0.7, 2.5})
                    error = std::max(error, std::abs(polynomial.at(std::vector{a, b, c})[0] -
                                                     waves_of(std::vector{a, b, c})[0]));
        return error;
    };
    for (int degree = 0; degree <= 2; ++degree) raise(polynomial, waves_of);
    double before = worst();
    while (polynomial.degree() < 12) {
        raise(polynomial, waves_of);
        raise(polynomial, waves_of);
        const double now = worst();
        EXPECT_LT(now, 0.35 * before) << "degree " << polynomial.degree();
        before = now;
    }
    EXPECT_LT(before, 1e-7);
}

}  // namespace sparse_polynomial_test
