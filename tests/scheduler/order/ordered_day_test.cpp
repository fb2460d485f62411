#include "scheduler/order/ordered_day.hpp"

#include <gtest/gtest.h>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/day_json.hpp"
#include "tests/paths.hpp"

namespace ampturn::order {
namespace ordered_day_test {

TEST(OrderedDay, SaysWhatWasGainedAndKeepsWhatIsShort) {
    const plan::Plan plan =
        plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"),
                              {{"day.leg",
                                "[{from=\"base\", to=\"near\", minutes=40}, {from=\"base\", to=\"far\", "
                                "minutes=5}, {from=\"near\", to=\"far\", minutes=30}]"}});
    const OrderedDay kept = simulate_day_in_improved_order(plan);
    ASSERT_TRUE(kept.day.order.has_value());
    EXPECT_TRUE(kept.day.order->unchanged) << "a round of two is the same either way round";

    plan::Plan crooked = plan;
    crooked.stations.push_back(plan.stations[0]);
    crooked.stations[2].name = "by the first";
    crooked.stations[2].place.x_m += 10;
    const OrderedDay ordered = simulate_day_in_improved_order(crooked);
    ASSERT_TRUE(ordered.day.order.has_value());
    const day::ImprovedOrder& order = *ordered.day.order;
    EXPECT_LE(order.moving_s, order.planned_moving_s);
    EXPECT_EQ(order.planned_stations.size(), 3u);
    EXPECT_EQ(order.planned_stations[0], "near");
    EXPECT_EQ(ordered.day.stations.size(), 3u);
    for (std::size_t i = 0; i < 3; ++i)
        EXPECT_EQ(ordered.day.stations[i].name, ordered.plan.stations[i].name);
    // The day in that order is the day of the plan in that order, but for what it says about the order.
    day::DayResult same = day::simulate_day(ordered.plan);
    EXPECT_EQ(same.end_s, ordered.day.end_s);
    EXPECT_EQ(same.passed_count, ordered.day.passed_count);
    EXPECT_EQ(order.planned_end_s, day::simulate_day(crooked).end_s);
    EXPECT_NE(report::day_json_text(ordered.day).find("\"station_order\": {"), std::string::npos);
    EXPECT_NE(report::day_json_text(same).find("\"station_order\": null"), std::string::npos);
}

}  // namespace ordered_day_test
}  // namespace ampturn::order
