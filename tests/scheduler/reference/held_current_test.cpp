#include "scheduler/reference/held_current.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

namespace held_current_test {

using namespace ampturn::model::bridge;
using namespace ampturn::reference;

TEST(HeldCurrent, EveryWayOfHoldingHoldsEveryQuantity) {
    // Definition: the quantity held is the 4 A asked for.
    const BridgeLoad rl{1.2, 1.5e-3};
    const BridgeVoltage v{215, 24};
    for (const auto control :
         {CurrentControl::duty, CurrentControl::supply, CurrentControl::latched, CurrentControl::clamp})
        for (const auto q :
             {CurrentQuantity::fundamental_peak, CurrentQuantity::rms, CurrentQuantity::peak}) {
            const HeldCurrent h = hold_current(rl, v, control, q, 4);
            ASSERT_TRUE(h.limited);
            const double held = q == CurrentQuantity::rms    ? h.current.rms_a
                                : q == CurrentQuantity::peak ? h.current.peak_a
                                                             : h.current.fundamental_peak_a;
            EXPECT_NEAR(held, 4, 1e-9) << static_cast<int>(control) << static_cast<int>(q);
            EXPECT_FALSE(hold_current(rl, v, control, q, 1000).limited);
        }
}

TEST(HeldCurrent, WaysOfHoldingDifferByFactors) {
    // 3 A peak at 100 Hz: why the choice is an input (ids bridge-o010, o011, o012 hold the same figures).
    const BridgeLoad rl{1.216, 1.5e-3};
    const BridgeVoltage v{100, 24};
    const auto fundamental = [&](CurrentControl c) {
        return hold_current(rl, v, c, CurrentQuantity::peak, 3).current.fundamental_peak_a;
    };
    EXPECT_GT(fundamental(CurrentControl::clamp) / fundamental(CurrentControl::latched), 2.9);
}

TEST(HeldCurrent, ClampAndLatchNeedALoopWithoutCapacitor) {
    for (const auto control : {CurrentControl::clamp, CurrentControl::latched})
        EXPECT_THROW(hold_current({1, 1e-3, 1e-6}, {1000, 24}, control, CurrentQuantity::peak, 1),
                     std::invalid_argument);
}

TEST(HeldCurrent, NothingAtALimitOfNothing) {
    // Definition: a limit of nothing.
    EXPECT_EQ(hold_current({1, 1e-3}, {100, 24}, CurrentControl::duty, CurrentQuantity::rms, 0).current.rms_a,
              0);
}

}  // namespace held_current_test
