#include "scheduler/receiver_sheet/clock_discipline.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

namespace ampturn::receiver_sheet {
namespace clock_discipline_test {

// Closed form: two dwells of 4 and 16 s, by hand.
TEST(ClockCost, ByHand) {
    const ClockCost one = clock_cost(1, {4, 16});
    EXPECT_DOUBLE_EQ(one.lost_fraction_of_shortest, 0.25);
    EXPECT_DOUBLE_EQ(one.lost_fraction, 2.0 / 20);
    EXPECT_DOUBLE_EQ(one.error_bar_factor, 2 / std::sqrt(3));  // a quarter of the time lost: sqrt(4/3)
    const ClockCost six = clock_cost(6, {4, 16});
    EXPECT_DOUBLE_EQ(six.lost_fraction_of_shortest, 1);
    EXPECT_DOUBLE_EQ(six.lost_fraction, 10.0 / 20);  // all of the one, 6 s of the other
    EXPECT_TRUE(std::isinf(six.error_bar_factor));
    EXPECT_EQ(clock_cost(0, {4, 16}).error_bar_factor, 1);
}

// Identity: the offset that is told for a loss loses it.
TEST(ClockCost, OffsetForALoss) {
    for (const double fraction : {0.01, 0.1, 0.7})
        EXPECT_DOUBLE_EQ(clock_cost(offset_for_loss_s(fraction, {3, 10}), {3, 10}).lost_fraction_of_shortest,
                         fraction);
}

// Closed form: a turn is a period.
TEST(ClockCost, ADegree) { EXPECT_DOUBLE_EQ(360 * offset_for_a_degree_s(250), 1.0 / 250); }

TEST(ClockCost, RefusesWhatCannotBe) {
    EXPECT_THROW(clock_cost(-1, {4}), std::invalid_argument);
    EXPECT_THROW(clock_cost(1, {}), std::invalid_argument);
    EXPECT_THROW(offset_for_loss_s(0, {4}), std::invalid_argument);
}

}  // namespace clock_discipline_test
}  // namespace ampturn::receiver_sheet
