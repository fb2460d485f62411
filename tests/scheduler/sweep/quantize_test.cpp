#include "scheduler/sweep/quantize.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <stdexcept>

namespace quantize_test {

using namespace ampturn::sweep;

TEST(NearestDrive, GivesTheNearestEvenDivisor) {
    // Closed form: 24 MHz / 10 000 = 2400 Hz exactly; 2048 Hz lies between divisors 11 718 and 11 720.
    EXPECT_EQ(nearest_drive(2400, 24'000'000).divisor, 10'000u);
    EXPECT_EQ(nearest_drive(2400, 24'000'000).error_ppm, 0);
    EXPECT_EQ(nearest_drive(2048, 24'000'000).divisor, 11'718u);
    EXPECT_NEAR(nearest_drive(2048, 24'000'000).frequency_hz, 24e6 / 11'718, 1e-9);
    EXPECT_EQ(nearest_drive(12e6, 24'000'000).divisor, 2u);
    EXPECT_THROW(nearest_drive(12.1e6, 24'000'000), std::invalid_argument);
    EXPECT_THROW(nearest_drive(0.001, 24'000'000), std::invalid_argument);
    EXPECT_THROW(nearest_drive(std::nan(""), 24'000'000), std::invalid_argument);
}

RC_GTEST_PROP(NearestDrive, NoEvenDivisorIsNearer, ()) {
    const double f =
        *rc::gen::map(rc::gen::inRange(0, 1'000'000), [](int i) { return std::pow(10.0, i / 1e6 * 6); });
    const NearestDrive d = nearest_drive(f, 24'000'000);
    RC_ASSERT(d.divisor % 2 == 0);
    const double error = std::abs(d.frequency_hz - f);
    for (const int step : {-2, 2}) {
        const double other = 24e6 / (static_cast<double>(d.divisor) + step);
        if (d.divisor + step >= 2) RC_ASSERT(std::abs(other - f) >= error * (1 - 1e-9));
    }
}

TEST(DwellCycles, IsNeverShorterThanAsked) {
    const NearestDrive d = nearest_drive(2400, 24'000'000);
    EXPECT_EQ(dwell_cycles(2.0, d), 4800u);
    EXPECT_EQ(dwell_cycles(2.0001, d), 4801u);
    EXPECT_EQ(dwell_cycles(1e-6, d), 1u);
    EXPECT_EQ(dwell_cycles(2.1, d, 1.0), 7200u) << "three whole records of 1 s";
    EXPECT_THROW(dwell_cycles(0, d), std::invalid_argument);
    EXPECT_THROW(dwell_cycles(1e9, d), std::invalid_argument);
}

TEST(TicksAtLeast, KeepsWholeValuesWhole) {
    EXPECT_EQ(ticks_at_least(0.1, 24'000'000), 2'400'000u);
    EXPECT_EQ(ticks_at_least(0, 24'000'000), 0u);
    EXPECT_EQ(ticks_at_least(1.5e-8, 24'000'000), 1u);
    EXPECT_THROW(ticks_at_least(-1, 24'000'000), std::invalid_argument);
}

}  // namespace quantize_test
