#include "scheduler/base/number_text.hpp"

#include <gtest/gtest.h>

namespace number_text_test {

using namespace ampturn::base;

TEST(NumberText, ElapsedTimeCountsWholeSecondsBegun) {
    EXPECT_EQ(elapsed_text(299.9), "04:59");
    EXPECT_EQ(elapsed_text(3723), "1:02:03");
    EXPECT_EQ(elapsed_text(-1), "00:00");
}

TEST(NumberText, AClockShowsTheMinuteThatHasBegun) {
    // Reports once rounded 59.7 s up in one place and down in another.
    EXPECT_EQ(clock_minutes_text(10 * 3600 - 0.3), "09:59");
    EXPECT_EQ(clock_minutes_text(10 * 3600), "10:00");
}

TEST(NumberText, Dates) {
    using namespace std::chrono;
    EXPECT_EQ(date_text(2030y / May / 7d), "2030-05-07");
    EXPECT_EQ(date_text({}), "") << "no date given";
}

TEST(NumberText, ANumberIsReadWhole) {
    // Definition: decimal numbers as plans and command lines write them; the nearest double, so 0.1 is 0.1.
    EXPECT_EQ(number_in("0.1"), 0.1);
    EXPECT_EQ(number_in("-12.5e-3"), -0.0125);
    EXPECT_EQ(number_in("7."), 7);
    EXPECT_EQ(number_in("1e-400"), 0) << "too small to hold";
    for (const char* none :
         {"", " 1", "1 ", "+1", "1,5", "0x10", "1e400", "nan", "inf", "-infinity", "1e", ".", "-"})
        EXPECT_EQ(number_in(none), std::nullopt) << none;
}

}  // namespace number_text_test
