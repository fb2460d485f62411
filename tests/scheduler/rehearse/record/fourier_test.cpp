#include "scheduler/rehearse/record/fourier.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "scheduler/run/counter_random.hpp"

namespace fourier_test {

using ampturn::rehearse::record::Fourier;
using ampturn::run::CounterRandom;

TEST(Fourier, KeepsPowerAsParsevalSays) {
    // Closed form: Parseval's theorem.
    const CounterRandom random(7, 1);
    for (const std::size_t length : {1u, 8u, 360u, 1001u, 4096u, 24'000u}) {
        Fourier transform(length);
        double time_power = 0, bin_power = 0;
        for (std::size_t n = 0; n < length; ++n) {
            transform.series()[n] = {random.normal(2 * n), random.normal(2 * n + 1)};
            time_power += std::norm(transform.series()[n]);
        }
        transform.forward();
        for (const auto& bin : transform.spectrum()) bin_power += std::norm(bin);
        EXPECT_NEAR(bin_power / static_cast<double>(length), time_power, 1e-12 * time_power) << length;
    }
}

TEST(Fourier, AgreesWithTheSumThatDefinesItAndComesBack) {
    // Independent: the defining sum, term by term.
    for (const std::size_t length : {2u, 13u, 45u, 48u, 154u}) {
        const CounterRandom random(7, 3);
        Fourier transform(length);
        std::vector<std::complex<double>> x(length);
        for (std::size_t n = 0; n < length; ++n)
            transform.series()[n] = x[n] = {random.normal(2 * n), random.normal(2 * n + 1)};
        transform.forward();
        for (std::size_t k = 0; k < length; ++k) {
            std::complex<double> sum = 0;
            for (std::size_t n = 0; n < length; ++n)
                sum += x[n] * std::polar(1.0, -2 * std::numbers::pi * static_cast<double>(k * n) /
                                                  static_cast<double>(length));
            EXPECT_LT(std::abs(transform.spectrum()[k] - sum), 2e-12);
        }
        transform.backward();
        for (std::size_t n = 0; n < length; ++n)
            EXPECT_LT(std::abs(transform.series()[n] / static_cast<double>(length) - x[n]), 1e-13);
    }
}

TEST(Fourier, RefusesLengthsThatTakeLong) {
    for (const std::size_t length : {0u, 17u, 34u, 1'000'003u})
        EXPECT_THROW(Fourier{length}, std::invalid_argument) << length;
}

}  // namespace fourier_test
