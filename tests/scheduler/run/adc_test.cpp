#include "scheduler/run/adc.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace adc_test {

using namespace ampturn::run;

constexpr AdcChannel volts{.lowest = 0, .highest = 40.95, .bits = 12, .noise_rms = 0};

TEST(Adc, RoundsToTheNearestCode) {
    const Adc adc(1, 1);
    EXPECT_EQ(adc.read_milli(volts, 12.344, 0), 12340) << "closed form: 4095 steps of 10 mV";
    EXPECT_EQ(adc.read_milli(volts, 12.346, 0), 12350);
}

TEST(Adc, HoldsAtItsRange) {
    const Adc adc(1, 1);
    EXPECT_EQ(adc.read_milli(volts, -3, 0), 0);
    EXPECT_EQ(adc.read_milli(volts, 1e9, 0), 40950);
    EXPECT_EQ(adc.read_milli(volts, std::numeric_limits<double>::infinity(), 0), 40950);
    EXPECT_EQ(adc.read_milli(volts, std::nan(""), 0), 0);
}

TEST(Adc, NoiseIsAFunctionOfSeedAndSample) {
    // Closed form: noise and rounding add by their squares.
    AdcChannel noisy = volts;
    noisy.noise_rms = 0.1;
    const Adc adc(5, 9), same(5, 9), other(6, 9);
    int different = 0;
    double squares = 0;
    for (std::uint64_t i = 0; i < 2000; ++i) {
        EXPECT_EQ(adc.read_milli(noisy, 20, i), same.read_milli(noisy, 20, i));
        different += adc.read_milli(noisy, 20, i) != other.read_milli(noisy, 20, i);
        squares += std::pow(adc.read_milli(noisy, 20, i) / 1000.0 - 20, 2);
    }
    EXPECT_GT(different, 1500);
    // Noise plus rounding of a 10 mV step; five standard errors of 2000 draws.
    EXPECT_NEAR(std::sqrt(squares / 2000), std::hypot(0.1, 0.01 / std::sqrt(12)), 5 * 0.1 / std::sqrt(4000));
}

}  // namespace adc_test
