#include "firmware-sim/net/throttle.hpp"

#include <gtest/gtest.h>

namespace throttle_test {

using ampturn::sim::net::Throttle;
using namespace std::chrono_literals;

TEST(Throttle, LetsBurstsThroughAndHoldsAFlood) {
    // Closed form: after the burst each message waits for its turn, 1/rate apart.
    Throttle throttle(10, 100);
    Throttle::Clock::time_point now{1h};
    for (int n = 0; n < 10; ++n) EXPECT_EQ(throttle.take(now).count(), 0) << n;
    EXPECT_NEAR(std::chrono::duration<double>(throttle.take(now)).count(), 0.01, 1e-9);
    EXPECT_NEAR(std::chrono::duration<double>(throttle.take(now)).count(), 0.02, 1e-9);
    now += 10s;
    for (int n = 0; n < 10; ++n) EXPECT_EQ(throttle.take(now).count(), 0) << "rested";
    EXPECT_GT(throttle.take(now).count(), 0);
}

}  // namespace throttle_test
