#include "model/base/check_range.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace ampturn::model {
namespace check_range_test {

TEST(CheckRange, TheRefusalCarriesNameValueAndLimits) {
    EXPECT_NO_THROW(check_range(1, "turns", 1, 2000));
    EXPECT_NO_THROW(check_range(2000, "turns", 1, 2000));
    try {
        check_range(2001, "turns", 1, 2000, 3);
        FAIL() << "not refused";
    } catch (const RangeError& refused) {
        EXPECT_EQ(refused.name(), "turns");
        EXPECT_EQ(refused.value(), 2001);
        EXPECT_EQ(refused.lowest(), 1);
        EXPECT_EQ(refused.highest(), 2000);
        EXPECT_EQ(refused.index(), 3u);
        EXPECT_STREQ(refused.what(), "turns (number 4) 2001: allowed 1 to 2000");
        const RangeError outer = refused.within("loop_a").at(0);
        EXPECT_EQ(outer.name(), "loop_a.turns");
        EXPECT_EQ(outer.index(), 0u);
        EXPECT_EQ(outer.value(), 2001);
    }
}

TEST(CheckRange, NaNIsInNoRange) {
    EXPECT_THROW(check_range(NAN, "x", 0, 1), RangeError);
    EXPECT_THROW(check_range(NAN, "x", Range{}), RangeError);
    EXPECT_THROW(check_range(NAN, "x", more_than(0)), RangeError);
}

TEST(CheckRange, ExcludedEnds) {
    EXPECT_THROW(check_range(0, "x", more_than(0)), RangeError);
    EXPECT_NO_THROW(check_range(5e-324, "x", more_than(0)));
    EXPECT_THROW(check_range(1, "x", {.highest = 1, .highest_excluded = true}), RangeError);
    EXPECT_NO_THROW(check_range(1, "x", at_most(1)));
}

TEST(CheckRange, Words) {
    EXPECT_EQ(text_of({.lowest = 0.9, .highest = 100}), "0.9 to 100");
    EXPECT_EQ(text_of({.lowest = 0, .highest = 1, .lowest_excluded = true}), "more than 0, at most 1");
    EXPECT_EQ(text_of(at_least(3)), "at least 3");
    EXPECT_EQ(text_of(at_most(-2)), "at most -2");
    EXPECT_EQ(text_of({.lowest = 1, .highest = 1}), "1");
    EXPECT_EQ(RangeError("x", 3, at_least(5), std::nullopt, "the wire's diameter").allowed(),
              "at least 5: the wire's diameter");
    const RangeError rule("receiver", "inside the loop", "outside the loop's outline");
    EXPECT_EQ(rule.found(), "inside the loop");
    EXPECT_EQ(rule.allowed(), "outside the loop's outline");
    EXPECT_TRUE(std::isnan(rule.value()));
    EXPECT_STREQ(rule.what(), "receiver inside the loop: allowed outside the loop's outline");
}

}  // namespace check_range_test
}  // namespace ampturn::model
