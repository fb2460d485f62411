#include "scheduler/rehearse/record/fourier.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "scheduler/run/counter_random.hpp"

namespace fourier_test {

using ampturn::rehearse::record::ComplexFourier;
using ampturn::rehearse::record::Fourier;
using ampturn::run::CounterRandom;

TEST(Fourier, KeepsPowerAsParsevalSays) {
    // Closed form: Parseval's theorem.
    const CounterRandom random(7, 1);
    for (const std::size_t length : {8u, 360u, 4096u}) {
        Fourier transform(length);
        double time_power = 0;
        for (std::size_t n = 0; n < length; ++n) {
            transform.series()[n] = random.normal(n);
            time_power += transform.series()[n] * transform.series()[n];
        }
        transform.forward();
        double bin_power = 0;
        for (std::size_t k = 0; k < transform.bins(); ++k)
            bin_power += (k == 0 || k == length / 2 ? 1 : 2) * std::norm(transform.spectrum()[k]);
        EXPECT_NEAR(bin_power / static_cast<double>(length), time_power, 1e-12 * time_power);
    }
}

TEST(Fourier, AgreesWithTheSumThatDefinesItAndComesBack) {
    // Independent: the defining sum, term by term.
    constexpr std::size_t length = 48;
    const CounterRandom random(7, 2);
    Fourier transform(length);
    std::vector<double> x(length);
    for (std::size_t n = 0; n < length; ++n) transform.series()[n] = x[n] = random.normal(n);
    transform.forward();
    for (std::size_t k = 0; k < transform.bins(); ++k) {
        std::complex<double> sum = 0;
        for (std::size_t n = 0; n < length; ++n)
            sum += std::polar(x[n], -2 * std::numbers::pi * static_cast<double>(k * n) / length);
        EXPECT_LT(std::abs(transform.spectrum()[k] - sum), 1e-12);
    }
    transform.backward();
    for (std::size_t n = 0; n < length; ++n) EXPECT_NEAR(transform.series()[n] / length, x[n], 1e-13);
}

TEST(ComplexFourier, AgreesWithTheSumThatDefinesItAndComesBack) {
    // Independent: the defining sum, term by term.
    constexpr std::size_t length = 45;
    const CounterRandom random(7, 3);
    ComplexFourier transform(length);
    std::vector<std::complex<double>> x(length);
    for (std::size_t n = 0; n < length; ++n)
        transform.series()[n] = x[n] = {random.normal(2 * n), random.normal(2 * n + 1)};
    transform.forward();
    for (std::size_t k = 0; k < length; ++k) {
        std::complex<double> sum = 0;
        for (std::size_t n = 0; n < length; ++n)
            sum += x[n] * std::polar(1.0, -2 * std::numbers::pi * static_cast<double>(k * n) / length);
        EXPECT_LT(std::abs(transform.spectrum()[k] - sum), 1e-12);
    }
    transform.backward();
    for (std::size_t n = 0; n < length; ++n)
        EXPECT_LT(std::abs(transform.series()[n] / static_cast<double>(length) - x[n]), 1e-13);
    EXPECT_THROW(ComplexFourier(0), std::invalid_argument);
}

TEST(Fourier, RefusesOddLengths) { EXPECT_THROW(Fourier(9), std::invalid_argument); }

}  // namespace fourier_test
