#include "scheduler/day/travel.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace ampturn::day {
namespace travel_test {

plan::Plan quick(const char* legs) {
    return plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"),
                                 {{"day.walking_speed_km_h", "3.6"}, {"day.leg", legs}});
}

// "near" lies 120 m, "far" 350 m from site "T" in the same direction; 3.6 km/h are 1 m/s.
TEST(Travel, StraightLinesLegsBothWaysAndTheFirstOfTwo) {
    // Closed form: 350 m - 120 m at 1 m/s.
    const plan::Plan plan =
        quick("[{from=\"far\", to=\"T\", minutes=10}, {from=\"T\", to=\"far\", minutes=99}]");
    const Travel travel(plan);
    EXPECT_NEAR(travel.seconds("near", "far"), 230, 1e-9);
    EXPECT_NEAR(travel.straight_m("far", "near"), 230, 1e-9);
    EXPECT_EQ(travel.seconds("T", "far"), 600);
    EXPECT_EQ(travel.seconds("far", "T"), 600);
    EXPECT_EQ(travel.seconds("far", "far"), 0);
    EXPECT_EQ(travel.seconds("base", "far"), 0) << "nothing is known of the base";
    EXPECT_THROW((void)travel.seconds("far", "nowhere"), std::out_of_range);
}

TEST(Travel, ToTheBaseOverThePlaceThatIsQuickest) {
    // Closed form: 350 m at 1 m/s and a leg of 5 minutes.
    const plan::Plan plan =
        quick("[{from=\"base\", to=\"T\", minutes=5}, {from=\"near\", to=\"base\", minutes=20}]");
    const Travel travel(plan);
    EXPECT_EQ(travel.seconds("base", "T"), 300);
    EXPECT_EQ(travel.seconds("base", "near"), 1200)
        << "a leg of its own counts, though the way over T is shorter";
    EXPECT_NEAR(travel.seconds("far", "base"), 300 + 350, 1e-9);
    EXPECT_EQ(travel.straight_m("base", "T"), 0);
}

}  // namespace travel_test
}  // namespace ampturn::day
