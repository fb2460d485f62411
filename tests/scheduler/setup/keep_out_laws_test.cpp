// How far to keep out: what the margin, the levels, the steps and the loops have to do to the figures, whatever they are.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "model/base/constants.hpp"
#include "model/loop/exposure.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/safety_figure.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"

namespace keep_out_laws_test {

using namespace ampturn;
using namespace ampturn::setup;
using plan::file::Setting;

plan::Plan quick(std::vector<Setting> settings) {
    return plan::file::load_plan(test::source_path("demo/quick.toml"), settings);
}
KeepOut keep_out(const std::vector<Setting>& settings) { return survey_setup_of(quick(settings)).keep_out; }

std::vector<Setting> own_levels(const char* public_ut, const char* work_ut) {
    return {{"safety.exposure_levels", "\"own\""},
            {"safety.own_public_b_ut", public_ut},
            {"safety.own_occupational_b_ut", work_ut},
            {"safety.keep_out_margin_m", "0"}};
}

TEST(KeepOutLaws, TheMarginIsAddedToEveryDistance) {
    const KeepOut without = keep_out({{"safety.keep_out_margin_m", "0"}}),
                  with = keep_out({{"safety.keep_out_margin_m", "7"}});
    // Definition: added before rounding up; whole metres move no tenth.
    EXPECT_NEAR(with.magnetic_public_m, without.magnetic_public_m + 7, 1e-9);
    EXPECT_NEAR(with.magnetic_occupational_m, without.magnetic_occupational_m + 7, 1e-9);
    EXPECT_NEAR(with.electric_public_m, without.electric_public_m + 7, 1e-9);
    EXPECT_NEAR(with.electric_occupational_m, without.electric_occupational_m + 7, 1e-9);
    EXPECT_GT(without.magnetic_public_m, without.magnetic_occupational_m) << "a lower level reaches farther";
    EXPECT_GT(without.electric_public_m, without.electric_occupational_m);
    EXPECT_GT(without.electric_occupational_m, 0);
}

TEST(KeepOutLaws, OneStepsDistanceIsThatOfItsLinesAtTheOwnLevel) {
    // Closed form: with one level at every frequency the index is the sum of the lines' rms over it; the loop is the plan's square.
    const std::vector<Setting> settings = own_levels("20", "200");
    std::vector<Setting> one_step = settings;
    one_step.insert(one_step.end(), {{"sweep.frequencies_hz", "[975]"}, {"sweep.loop", "\"a\""}});
    const plan::Plan plan = quick(one_step);
    const SurveySetup setup = survey_setup_of(plan);
    ASSERT_EQ(setup.table.rows.size(), 1u);
    const auto point = model::transmitter::solve_operating_point(
        setup.transmitter, largest_current_conditions(plan, setup.transmitter), setup.table.rows[0].request);
    ASSERT_TRUE(point.solved);
    double rms_a = 0;
    for (const double peak_a : point.current.harmonic_peak_a) rms_a += peak_a / std::sqrt(2.0);
    std::vector<model::loop::LoopPoint> square;
    for (const auto& [x, z] : {std::pair{-3.0, -0.5}, {3.0, -0.5}, {3.0, -6.5}, {-3.0, -6.5}})
        square.push_back({x, 0, z});
    const double ampere_turns = setup.table.rows[0].turns * rms_a;
    EXPECT_DOUBLE_EQ(setup.keep_out.magnetic_public_m,
                     rounded_up_to_tenth(model::loop::keep_out_distance_m(square, 20e-6 / ampere_turns)));
    EXPECT_DOUBLE_EQ(setup.keep_out.magnetic_occupational_m,
                     rounded_up_to_tenth(model::loop::keep_out_distance_m(square, 200e-6 / ampere_turns)));
}

TEST(KeepOutLaws, TheWorstStepOfASweepDecides) {
    // Identity: of loops that send one at a time the magnetic distance is the largest of the steps by themselves; the worst volts and
    // the worst current need not be one step's, so that the electric one is no less.
    const std::vector<std::string> frequencies{"975", "2825", "8525", "25475"};
    const KeepOut all = keep_out({});
    double magnetic_public_m = 0, magnetic_work_m = 0, electric_m = 0, volts = 0;
    for (const std::string& f : frequencies)
        for (const char* loop : {"\"a\"", "\"b\""}) {
            const KeepOut one = keep_out({{"sweep.frequencies_hz", "[" + f + "]"}, {"sweep.loop", loop}});
            magnetic_public_m = std::max(magnetic_public_m, one.magnetic_public_m);
            magnetic_work_m = std::max(magnetic_work_m, one.magnetic_occupational_m);
            electric_m = std::max(electric_m, one.electric_public_m);
            volts = std::max(volts, one.loop_to_ground_v_rms);
        }
    EXPECT_DOUBLE_EQ(all.magnetic_public_m, magnetic_public_m);
    EXPECT_DOUBLE_EQ(all.magnetic_occupational_m, magnetic_work_m);
    EXPECT_GE(all.electric_public_m, electric_m);
    EXPECT_NEAR(all.loop_to_ground_v_rms, volts, 1e-9 * volts);
}

TEST(KeepOutLaws, BothAtOnceAreNoNearerThanEitherAlone) {
    // Law: fields added by size are no less than one of them.
    for (const char* order : {"\"quadrature\"", "\"each\""}) {
        const KeepOut both = keep_out(
            {{"driver.both_loops", "true"}, {"sweep.loop", order}, {"sweep.frequencies_hz", "[975]"}});
        for (const char* loop : {"\"a\"", "\"b\""}) {
            const KeepOut one = keep_out(
                {{"driver.both_loops", "true"}, {"sweep.loop", loop}, {"sweep.frequencies_hz", "[975]"}});
            EXPECT_GE(both.magnetic_public_m, one.magnetic_public_m - 0.1);
            EXPECT_GE(both.magnetic_occupational_m, one.magnetic_occupational_m - 0.1);
        }
    }
}

const std::vector<Setting> unlike_loops_at_once{
    {"driver.both_loops", "true"}, {"sweep.frequencies_hz", "[975]"}, {"loop.a.side_m", "4"}};

TEST(KeepOutLaws, BothAtOnceReachAsFarAsCrossedDipoles) {
    // Closed form: B = mu0 m sqrt(1 + 3 cos^2)/(4 pi r^3) of each, m the sum of the lines' rms (one level at every frequency), added
    // by size; what is farthest lies in the plane of both axes.
    std::vector<Setting> settings = own_levels("0.0001", "0.001");
    settings.insert(settings.end(), unlike_loops_at_once.begin(), unlike_loops_at_once.end());
    settings.push_back({"sweep.loop", "\"quadrature\""});
    const plan::Plan plan = quick(settings);
    const SurveySetup setup = survey_setup_of(plan);
    ASSERT_EQ(setup.table.rows.size(), 1u);
    const auto point = model::transmitter::solve_operating_point(
        setup.transmitter, largest_current_conditions(plan, setup.transmitter), setup.table.rows[0].request);
    const auto moment_a_m2 = [](const model::bridge::BridgeCurrent& current,
                                const model::loop::LoopTap& tap) {
        double rms_a = 0;
        for (const double peak_a : current.harmonic_peak_a) rms_a += peak_a / std::sqrt(2.0);
        return rms_a * tap.moment_per_ampere_m2();
    };
    const double a = moment_a_m2(point.current, setup.transmitter.taps_a.back()),
                 b = moment_a_m2(point.current_b, setup.transmitter.taps_b.back());
    ASSERT_GT(b, 0.5 * a);
    double most = 0;
    for (double angle = 0; angle < model::pi; angle += 1e-3)
        most = std::max(most, a * std::sqrt(1 + 3 * std::cos(angle) * std::cos(angle)) +
                                  b * std::sqrt(1 + 3 * std::sin(angle) * std::sin(angle)));
    const double far_m = std::cbrt(1e-7 * most / 1e-10);
    // From the wire, not from the middle: up to half a diagonal less.
    EXPECT_LT(setup.keep_out.magnetic_public_m, far_m + 0.2);
    EXPECT_GT(setup.keep_out.magnetic_public_m, far_m - 4.5);
}

TEST(KeepOutLaws, BothAtOnceAreNoNearerToThePublicByTheElectricField) {
    // Law: fields added by size are no less than one of them; loop B has the more volts.
    const auto electric_m = [](const char* loop) {
        std::vector<Setting> settings = unlike_loops_at_once;
        settings.push_back({"sweep.loop", loop});
        settings.push_back({"safety.keep_out_margin_m", "0"});
        return keep_out(settings);
    };
    const KeepOut both = electric_m("\"quadrature\""), a = electric_m("\"a\""), b = electric_m("\"b\"");
    EXPECT_GT(b.electric_public_m, a.electric_public_m + 0.05);
    EXPECT_GE(both.electric_public_m, b.electric_public_m - 0.1);
    EXPECT_GE(both.electric_occupational_m, b.electric_occupational_m - 0.1);
    EXPECT_GT(both.loop_to_ground_v_rms, a.loop_to_ground_v_rms);
}

TEST(KeepOutLaws, ALowerLevelReachesFarther) {
    double before_m = 0;
    for (const char* level_ut : {"200", "20", "2", "0.2"}) {
        const KeepOut k = keep_out(own_levels(level_ut, level_ut));
        EXPECT_GT(k.magnetic_public_m, before_m);
        EXPECT_EQ(k.magnetic_public_m, k.magnetic_occupational_m) << "definition: one level, one distance";
        before_m = k.magnetic_public_m;
    }
    // Law: far away a loop is a dipole, its field falls with the cube: a tenth of the level is 10^(1/3) times as far.
    const double near_m = keep_out(own_levels("0.001", "0.01")).magnetic_public_m,
                 far_m = keep_out(own_levels("0.0001", "0.01")).magnetic_public_m;
    EXPECT_NEAR(far_m / near_m, std::cbrt(10.0), 0.02);
}

TEST(KeepOutLaws, TheStricterPublicLevelsReachFartherAndThoseAtWorkAreTheSame) {
    // Published: 1999/519/EC is stricter for the public than ICNIRP 2010 above 800 Hz; 2013/35/EU rests on the latter.
    const KeepOut icnirp = keep_out({}), eu = keep_out({{"safety.exposure_levels", "\"eu\""}});
    EXPECT_GT(eu.magnetic_public_m, icnirp.magnetic_public_m);
    EXPECT_EQ(eu.magnetic_occupational_m, icnirp.magnetic_occupational_m);
}

TEST(KeepOutLaws, VoltsToGroundAreTheBridgesAndTheLoopsTimesTheOpenTurns) {
    // Closed form: a square wave's nth harmonic is 4 V / (pi n) peak, the loop's |Z| I; both in rms, the loop's by all over used turns.
    const SurveySetup setup = survey_setup_of(quick({}));
    const auto& taps = setup.transmitter.taps_a;
    ASSERT_GT(taps.size(), 1u);
    model::bridge::BridgeCurrent current;
    current.harmonic_peak_a[0] = 10;
    current.harmonic_peak_a[2] = 2;
    for (const model::loop::LoopTap& tap : taps) {
        const std::vector<double> volts = bundle_volts_rms(taps, tap, 40, current, 26, 1000);
        ASSERT_EQ(volts.size(), static_cast<std::size_t>(model::bridge::harmonic_slots));
        for (std::size_t slot = 0; slot < volts.size(); ++slot) {
            const double n = 2 * static_cast<double>(slot) + 1, f = 1000 * n;
            const auto z = model::loop::loop_impedance(tap, 40, f);
            const double loop_v = std::hypot(z.resistance_ohm, 2 * model::pi * f * z.inductance_h) *
                                  current.harmonic_peak_a[slot] * taps.back().turns / tap.turns;
            EXPECT_NEAR(volts[slot], (4 * 26 / (model::pi * n) + loop_v) / std::sqrt(2.0), 1e-9);
        }
    }
}

TEST(KeepOutLaws, SaysWhatItRestsOn) {
    EXPECT_EQ(exposure_levels_text(quick({}).safety), "ICNIRP 2010 and 2020 levels");
    EXPECT_EQ(exposure_levels_text(quick({{"safety.exposure_levels", "\"eu\""}}).safety),
              "1999/519/EC and 2013/35/EU levels");
    EXPECT_EQ(exposure_levels_text(quick(own_levels("20", "200")).safety), "own levels 20 and 200 uT");
    EXPECT_STREQ(name_of(ExposureField::magnetic), "magnetic");
    EXPECT_STREQ(name_of(ExposureField::electric), "electric");
    KeepOut k{};
    k.magnetic_public_m = k.magnetic_occupational_m = 5;
    k.electric_public_m = 5.1;
    k.electric_occupational_m = 4.9;
    EXPECT_EQ(k.public_decided_by(), ExposureField::electric);
    EXPECT_EQ(k.occupational_decided_by(), ExposureField::magnetic);
}

TEST(SafetyFigure, DigitsAreNeverRoundedDown) {
    // Definition: to so many significant digits, up.
    EXPECT_DOUBLE_EQ(rounded_up_to_digits(0.12341, 3), 0.124);
    EXPECT_DOUBLE_EQ(rounded_up_to_digits(0.124, 3), 0.124);
    EXPECT_DOUBLE_EQ(rounded_up_to_digits(12341, 2), 13000);
    EXPECT_DOUBLE_EQ(rounded_up_to_digits(999.1, 2), 1000);
    EXPECT_EQ(rounded_up_to_digits(0, 3), 0);
    EXPECT_TRUE(std::isinf(rounded_up_to_digits(INFINITY, 3)));
    EXPECT_EQ(safety_significant_text(0.12341, 3), "0.124");
    EXPECT_EQ(safety_volts_text(NAN), "-");
    EXPECT_EQ(safety_volts_text(738.0001), "739");
    EXPECT_EQ(safety_figure_text(12), "12.0");
}

}  // namespace keep_out_laws_test
