#include "scheduler/base/json.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace json_test {

using ampturn::base::json_text;
using Json = nlohmann::ordered_json;

TEST(JsonText, RoundsEveryNumberToNineDigitsWhereverItStands) {
    const Json value{{"a", 1.0 / 3}, {"list", {2e-9 / 3, {{"deep", 12345678.94999}}}}, {"whole", 4294967297}};
    EXPECT_EQ(json_text(value, -1),
              R"({"a":0.333333333,"list":[6.66666667e-10,{"deep":12345678.9}],"whole":4294967297})");
}

TEST(JsonText, NeighbouringDoublesGiveTheSameText) {
    const double x = std::sqrt(2.0);
    EXPECT_EQ(json_text(Json{{"x", x}}, 1), json_text(Json{{"x", std::nextafter(x, 2)}}, 1));
}

TEST(JsonText, WritesNullForWhatIsNotFiniteAndMarksForWhatIsNotUtf8) {
    const Json value{{"n", std::numeric_limits<double>::quiet_NaN()}, {"t", "\xff"}, {"zero", -0.0}};
    EXPECT_EQ(json_text(value, -1), "{\"n\":null,\"t\":\"\xef\xbf\xbd\",\"zero\":0.0}");
    EXPECT_TRUE(json_text(value, 2).ends_with("}\n"));
}

}  // namespace json_test
