#include "firmware-sim/scpi/parameter.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace parameter_test {

using namespace ampturn::sim::scpi;

constexpr Limits frequency{1, 100e3, 1000, PhysicalUnit::hertz, "frequency, Hz"};
constexpr Limits dwell{0.1, 3600, 1, PhysicalUnit::second, "dwell, s"};
constexpr Limits current{0, 50, 1, PhysicalUnit::ampere, "current, A"};

std::vector<Datum> data(const std::string& text) { return lex("X " + text).commands.at(0).data; }

double number(const std::string& text, const Limits& limits) {
    const auto d = data(text);
    Parameters parameters(d);
    const double value = parameters.number(limits);
    parameters.end();
    return value;
}

ErrorCode refusal(const std::string& text, const Limits& limits) {
    try {
        number(text, limits);
    } catch (const Refused& refused) {
        return refused.error.code;
    }
    return ErrorCode::none;
}

TEST(Parameters, UnderstandSuffixesAndLimits) {
    // Definition: the suffixes' multipliers and the limits given above.
    EXPECT_DOUBLE_EQ(number("2.5 KHZ", frequency), 2500);
    EXPECT_DOUBLE_EQ(number("0.05 MHZ", frequency), 50e3);  // MHZ is mega for hertz (SCPI-99, 7.2.1)
    EXPECT_DOUBLE_EQ(number("500 MS", dwell), 0.5);         // and milli for seconds
    EXPECT_DOUBLE_EQ(number("2 MIN", dwell), 120);
    EXPECT_DOUBLE_EQ(number("800 MA", current), 0.8);
    EXPECT_DOUBLE_EQ(number("MIN", frequency), 1);
    EXPECT_DOUBLE_EQ(number("maximum", frequency), 100e3);
    EXPECT_DOUBLE_EQ(number("DEF", frequency), 1000);
}

TEST(Parameters, RefuseWithTheStandardNumber) {
    EXPECT_EQ(refusal("1 A", frequency), ErrorCode::invalid_suffix);
    EXPECT_EQ(refusal("0.5", frequency), ErrorCode::data_out_of_range);
    EXPECT_EQ(refusal("200 KHZ", frequency), ErrorCode::data_out_of_range);
    EXPECT_EQ(refusal("FAST", frequency), ErrorCode::illegal_parameter_value);
    EXPECT_EQ(refusal("'1'", frequency), ErrorCode::string_data_not_allowed);
    EXPECT_EQ(refusal("#11a", frequency), ErrorCode::block_data_not_allowed);
    EXPECT_EQ(refusal("(1)", frequency), ErrorCode::expression_not_allowed);
    EXPECT_EQ(refusal("1,2", frequency), ErrorCode::parameter_not_allowed);
    const std::vector<Datum> none;
    Parameters parameters(none);
    EXPECT_THROW(parameters.next(), Refused);
}

TEST(Parameters, BooleansAndWords) {
    const auto d = data("ON,OFF,0,1,0.4,IMM,BUS");
    Parameters parameters(d);
    EXPECT_TRUE(parameters.boolean());
    EXPECT_FALSE(parameters.boolean());
    EXPECT_FALSE(parameters.boolean());
    EXPECT_TRUE(parameters.boolean());
    EXPECT_FALSE(parameters.boolean());
    EXPECT_EQ(parameters.choice({"IMMediate", "BUS"}), 0);
    EXPECT_EQ(parameters.choice({"IMMediate", "BUS"}), 1);
}

TEST(Parameters, Answers) {
    EXPECT_EQ(nr3(2400), "2.400000E+03");
    EXPECT_EQ(nr3(std::nan("")), "9.910000E+37");  // SCPI-99, 7.2.1.5
    EXPECT_EQ(nr3(INFINITY), "9.900000E+37");      // SCPI-99, 7.2.1.4
    EXPECT_EQ(definite_block("0123456789"), "#2100123456789");
}

}  // namespace parameter_test
