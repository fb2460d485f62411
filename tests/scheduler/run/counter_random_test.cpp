#include "scheduler/run/counter_random.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace counter_random_test {

using ampturn::run::CounterRandom;

TEST(CounterRandom, GivesThePublishedKnownAnswers) {
    // Known-answer vectors of Philox 4x32-10 as published with the method (from memory).
    const CounterRandom zero(0, 0);
    EXPECT_EQ(zero.block(0),
              (std::array<std::uint32_t, 4>{0x6627e8d5u, 0xe169c58du, 0xbc57ac4cu, 0x9b00dbd8u}));
    const CounterRandom ones(~0ull, ~0ull);
    EXPECT_EQ(ones.block(~0ull),
              (std::array<std::uint32_t, 4>{0x408f276du, 0x41c83b0eu, 0xa20bc7c6u, 0x6d5451fdu}));
}

TEST(CounterRandom, NormalsHaveMeanZeroAndVarianceOne) {
    // Definition of the standard normal distribution.
    const CounterRandom random(7, 1);
    constexpr int count = 100'000;
    double sum = 0, squares = 0;
    for (int i = 0; i < count; ++i) {
        const double x = random.normal(static_cast<std::uint64_t>(i));
        sum += x;
        squares += x * x;
    }
    // Five standard errors: 1/sqrt(n) for the mean, sqrt(2/n) for the variance.
    EXPECT_NEAR(sum / count, 0.0, 5.0 / std::sqrt(count));
    EXPECT_NEAR(squares / count, 1.0, 5.0 * std::sqrt(2.0 / count));
}

}  // namespace counter_random_test
