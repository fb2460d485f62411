#include "scheduler/report/compare.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "tests/scheduler/report/synthetic_day.hpp"

namespace ampturn::report {
namespace compare_test {

using testing::HasSubstr;

TEST(Compare, FindsWhatChangesAndNothingElse) {
    const day::DayResult a = synthetic_day();
    const Comparison same = compare_days(a, a);
    EXPECT_TRUE(same.changed.empty());
    for (const ComparedValue& v : same.values)
        EXPECT_TRUE(v.a == v.b || (std::isnan(v.a) && std::isnan(v.b))) << v.name;
    EXPECT_THAT(compare_text(same, false), HasSubstr("No verdict changes"));

    day::DayResult b = a;
    b.energy_wh *= 1.5;
    b.readings[0].verdict = reading::Verdict::noisy;                       // was usable
    b.readings[b.readings.size() - 1].verdict = reading::Verdict::usable;  // was not sent
    std::swap(b.stations[1].name, b.stations[2].name);
    b.stations.back().name = "elsewhere";
    const Comparison c = compare_days(a, b);
    EXPECT_THAT(c.only_in_a, testing::ElementsAre("station S12"));
    EXPECT_THAT(c.only_in_b, testing::ElementsAre("station elsewhere"));
    EXPECT_GE(c.worse, 1);
    EXPECT_THAT(compare_text(c, false), HasSubstr("+50 %"));
    EXPECT_THAT(compare_html(same), HasSubstr("No verdict changes"));
    EXPECT_THAT(compare_html(c), HasSubstr("<td class=\"n\">+50 %</td>"));
    EXPECT_THAT(compare_html(c), HasSubstr("Only in B: station elsewhere"));
    const auto json = nlohmann::json::parse(compare_json_text(c));
    EXPECT_EQ(json.at("changed").size(), c.changed.size());
}

}  // namespace compare_test
}  // namespace ampturn::report
