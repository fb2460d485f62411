#include "scheduler/setup/safety_figure.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn::setup;

TEST(SafetyFigure, IsRoundedUpAndStaysWhenItIsATenthAlready) {
    EXPECT_EQ(safety_figure_text(2.401), "2.5") << "definition: never down";
    EXPECT_EQ(safety_figure_text(2.5), "2.5") << "definition";
    EXPECT_EQ(safety_volts_text(738.286), "739") << "definition: never down";
    EXPECT_EQ(safety_volts_text(738), "738") << "definition";
    for (int tenths = 0; tenths <= 2000; ++tenths)  // 10 * 1.1 is a little more than 11
        EXPECT_DOUBLE_EQ(rounded_up_to_tenth(0.1 * tenths), tenths / 10.0) << "definition";
    EXPECT_TRUE(std::isinf(rounded_up_to_tenth(INFINITY)));
    EXPECT_EQ(safety_figure_text(NAN), "-") << "definition";
}

TEST(KeepOut, TheSlowestCapacitorDecidesTheWait) {
    const auto plan = ampturn::plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    const SurveySetup setup = survey_setup_of(plan);
    ASSERT_TRUE(plan.driver.capacitors.bleed_resistor_ohm.has_value());
    double largest_f = 0;
    for (const auto& row : setup.table.rows) largest_f = std::max(largest_f, row.capacitor_f);
    ASSERT_GT(largest_f, 0);
    // Closed form: R C ln(V / V safe) of one step is a lower limit for the wait after the slowest.
    const double wait_s = setup.keep_out.capacitor_to_safe_s;
    EXPECT_NEAR(wait_s, 3.0, 1e-9) << "regression: the slowest of all steps, not the one of most volts";
    EXPECT_DOUBLE_EQ(wait_s, rounded_up_to_tenth(wait_s)) << "identity: rounded up already";
    EXPECT_DOUBLE_EQ(setup.keep_out.public_m, rounded_up_to_tenth(setup.keep_out.public_m)) << "identity";
}

}  // namespace
