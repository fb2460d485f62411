#include "scheduler/setup/safety_figure.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"

namespace safety_figure_test {

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
    for (const auto& row : setup.table.rows) largest_f = std::max(largest_f, row.capacitance_f);
    ASSERT_GT(largest_f, 0);
    // Closed form: R C ln(V / V safe) of one step is a lower limit for the wait after the slowest.
    const double wait_s = setup.keep_out.capacitor_to_safe_s;
    EXPECT_NEAR(wait_s, 3.0, 1e-9) << "regression: the slowest of all steps, not the one of most volts";
    EXPECT_DOUBLE_EQ(wait_s, rounded_up_to_tenth(wait_s)) << "identity: rounded up already";
    EXPECT_DOUBLE_EQ(setup.keep_out.public_m, rounded_up_to_tenth(setup.keep_out.public_m)) << "identity";
}

using ampturn::plan::file::load_plan;

ampturn::plan::Plan quick_with(const char* loops) {
    std::vector<ampturn::plan::file::Setting> settings{{"driver.both_loops", "true"}, {"sweep.loop", loops}};
    return load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

TEST(KeepOut, BothLoopsAtOnceReachFartherThanOneAtATime) {
    const KeepOut each = survey_setup_of(quick_with("\"each\"")).keep_out;
    const KeepOut both = survey_setup_of(quick_with("\"quadrature\"")).keep_out;
    EXPECT_GT(both.magnetic_public_m, each.magnetic_public_m) << "definition: two fields are added";
    EXPECT_GE(both.electric_public_m, each.electric_public_m);
    EXPECT_GE(both.occupational_m, each.occupational_m);
}

TEST(KeepOut, TheFartherOfBothFieldsDecides) {
    for (const char* demo : {"demo/quick.toml", "demo/vesslarook.toml"}) {
        const KeepOut k = survey_setup_of(load_plan(ampturn::test::source_path(demo))).keep_out;
        EXPECT_EQ(k.public_m, std::max(k.magnetic_public_m, k.electric_public_m)) << "identity";
        EXPECT_EQ(k.occupational_m, std::max(k.magnetic_occupational_m, k.electric_occupational_m))
            << "identity";
        EXPECT_DOUBLE_EQ(k.electric_public_m, rounded_up_to_tenth(k.electric_public_m)) << "identity";
        EXPECT_GT(k.loop_to_ground_v_rms, 20) << "at least what the bridge gives";
    }
}

TEST(KeepOut, OpenTurnsRaiseTheVoltsToGround) {
    // Closed form: one turn in use, the open end of three or of two turns at three or two times its volts.
    const std::vector<ampturn::plan::file::Setting> one_turn{{"sweep.turns_in_use", "1"},
                                                             {"sweep.current_a_peak", "3"}};
    std::vector<ampturn::plan::file::Setting> of_two = one_turn;
    of_two.insert(of_two.end(), {{"loop.a.turns", "2"}, {"loop.b.turns", "2"}});
    const std::string quick = ampturn::test::source_path("demo/quick.toml");
    const double three = survey_setup_of(load_plan(quick, one_turn)).keep_out.loop_to_ground_v_rms;
    const double two = survey_setup_of(load_plan(quick, of_two)).keep_out.loop_to_ground_v_rms;
    EXPECT_GT(three, 1.02 * two);
    EXPECT_LT(three, 1.5 * two) << "the bridge's own volts are not raised";
}

}  // namespace safety_figure_test
