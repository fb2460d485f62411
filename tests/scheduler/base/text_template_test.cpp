#include "scheduler/base/text_template.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

namespace ampturn::base {
namespace text_template_test {

TEST(TextTemplate, ReplacesEveryNameAndLeavesTheValuesAlone) {
    EXPECT_EQ(filled_template("<p>{{a}} of {{b}}, {{a}}</p>\n", {{"a", "3"}, {"b", "{{a}} & {x}"}}),
              "<p>3 of {{a}} & {x}, 3</p>\n");
    EXPECT_EQ(filled_template("{{a}}{{b}}", {{"a", ""}, {"b", "end"}}), "end");
    EXPECT_EQ(filled_template("no name } { {} }}", {}), "no name } { {} }}");
    EXPECT_EQ(filled_template("", {}), "");
}

TEST(TextTemplate, RefusesWhatDoesNotFitTogether) {
    EXPECT_THROW(filled_template("{{a}} {{c}}", {{"a", "1"}}), std::logic_error);
    EXPECT_THROW(filled_template("{{a}}", {{"a", "1"}, {"b", "2"}}), std::logic_error);
    EXPECT_THROW(filled_template("{{a", {{"a", "1"}}), std::logic_error);
}

TEST(TextTemplate, FindsTheLineOfAName) {
    constexpr auto text = "cold_long: other\ncold: Cold: warm them first.\nlast: x";
    EXPECT_EQ(named_line(text, "cold"), "Cold: warm them first.");
    EXPECT_EQ(named_line(text, "cold_long"), "other");
    EXPECT_EQ(named_line(text, "last"), "x");
    EXPECT_THROW(named_line(text, "warm"), std::logic_error);
    EXPECT_THROW(named_line("", "warm"), std::logic_error);
}

}  // namespace text_template_test
}  // namespace ampturn::base
