#include "scheduler/reach/reach.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <numeric>

#include "model/base/skin_depth.hpp"
#include "model/fields/fields.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/reach/reach_output.hpp"
#include "scheduler/reading/assess_reading.hpp"
#include "scheduler/reading/offset_fields.hpp"
#include "scheduler/reading/reading_quality.hpp"
#include "tests/outside_check.hpp"
#include "tests/paths.hpp"
#include "tests/reference_csv.hpp"

namespace ampturn::reach {
namespace reach_test {

using testing::HasSubstr;

plan::Plan quick_plan(const std::vector<plan::file::Setting>& settings = {}) {
    return plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

const model::ground::LayeredEarth three_layers({{600, 14, 9},
                                                {90, 38, 20},
                                                {3500, std::numeric_limits<double>::infinity(), 6}});

TEST(Intervals, FindsEachOneWithEndsBetweenSamples) {
    // Closed form: interpolation in log offset, by hand.
    const std::vector<double> offsets{10, 20, 40, 80, 160, 320, 640};
    const auto found = intervals_up_to_one(offsets, {2, 0, 2, 3, 0.5, 1, 0.2});
    ASSERT_EQ(found.size(), 2u);
    EXPECT_NEAR(found[0].from_m, std::sqrt(10.0 * 20), 1e-9);  // ratio 1 half way in log offset
    EXPECT_NEAR(found[0].to_m, std::sqrt(20.0 * 40), 1e-9);
    EXPECT_NEAR(found[1].from_m, 80 * std::pow(2, 0.8), 1e-9);
    EXPECT_EQ(found[1].to_m, 640);
    EXPECT_TRUE(intervals_up_to_one(offsets, {2, 2, 2, 2, 2, 2, 2}).empty());
    constexpr double infinite = std::numeric_limits<double>::infinity();
    const auto beside = intervals_up_to_one({1, 2, 3}, {infinite, 0.5, infinite});
    ASSERT_EQ(beside.size(), 1u);
    EXPECT_EQ(beside[0].from_m, 2);
}

TEST(Intervals, CommonPartsOfTwoLists) {
    const auto both = common_intervals({{1, 5}, {7, 9}}, {{2, 3}, {4, 8}});
    ASSERT_EQ(both.size(), 3u);
    EXPECT_EQ(both[1].from_m, 4);
    EXPECT_EQ(both[1].to_m, 5);
    EXPECT_EQ(both[2].to_m, 8);
    EXPECT_TRUE(common_intervals({{1, 2}}, {{2, 3}}).empty());
}

TEST(OffsetFields, AgreesWithTheEngineAtAnyPlace) {
    const reading::OffsetFields table(three_layers, 2825, 4.5, 4.4, reading::OffsetGrid(30, 4000));
    for (const double offset_m : {30.0, 61.7, 333.3, 1234.5, 4000.0})
        for (const double bearing_deg : {0.0, 33.0, 101.0, 275.0}) {
            const double azimuth_deg = 14, bearing = bearing_deg * M_PI / 180,
                         azimuth = azimuth_deg * M_PI / 180;
            const model::fields::Dipole dipole{.moment_a_m2 = {std::cos(azimuth), std::sin(azimuth), 0},
                                               .height_m = 4.4};
            const auto direct = model::fields::field(
                three_layers, 2825, dipole, {offset_m * std::cos(bearing), offset_m * std::sin(bearing)});
            const reading::FieldPerMoment here = table.at(1, azimuth_deg, 0, offset_m, bearing_deg);
            const double e =
                std::hypot(std::abs(direct.fields.ex_v_per_m), std::abs(direct.fields.ey_v_per_m));
            const double h =
                std::hypot(std::abs(direct.fields.hx_a_per_m), std::abs(direct.fields.hy_a_per_m));
            EXPECT_LT(std::abs(here.horizontal.ex_v_per_m - direct.fields.ex_v_per_m), 2e-5 * e) << offset_m;
            EXPECT_LT(std::abs(here.horizontal.ey_v_per_m - direct.fields.ey_v_per_m), 2e-5 * e) << offset_m;
            EXPECT_LT(std::abs(here.horizontal.hx_a_per_m - direct.fields.hx_a_per_m), 2e-5 * h) << offset_m;
            EXPECT_LT(std::abs(here.horizontal.hy_a_per_m - direct.fields.hy_a_per_m), 2e-5 * h) << offset_m;
        }
    EXPECT_THROW((void)table.at(0, 0, 0, 29, 0), std::out_of_range);
}

/// Source: hmd_near_field_bias.csv (closed forms over a uniform ground, quasi-static; own derivation there,
/// checked by numerical integration). Along a bearing of 0 xy is radial E over azimuthal H.
TEST(BiasRatio, AgreesWithTheClosedFormsOverUniformGround) {
    const ReferenceCsv csv("field/hmd_near_field_bias.csv", 26);
    constexpr double f = 1000, rho = 100;
    const model::ground::LayeredEarth ground(std::vector<model::ground::Layer>{{.resistivity_ohm_m = rho}});
    const double delta_m = model::skin_depth_m(rho, f);
    const reading::OffsetFields table(ground, f, 0, 0, reading::OffsetGrid(0.05 * delta_m, 25 * delta_m));
    plan::Targets targets;
    test::OutsideCheck check("distance of a reading from the plane wave, in its tolerances",
                             "tests/reference/field/hmd_near_field_bias.csv: closed forms",
                             "of what the digits allow");
    for (std::size_t i = 0; i < csv.size(); ++i) {
        const double u = csv.number(i, "r_over_delta");
        const reading::FieldPerMoment a = table.at(0, 0, 0, u * delta_m, 0),
                                      b = table.at(1, 90, 0, u * delta_m, 0);
        for (const auto& [element, ra, dph] : {std::tuple{plan::Element::xy, "ra_rphi", "dph_rphi_deg"},
                                               {plan::Element::yx, "ra_phir", "dph_phir_deg"}}) {
            targets.elements = {element};
            const double expected =
                std::max(100 * std::fabs(csv.number(i, ra) - 1) / targets.rho_bias_percent,
                         std::fabs(csv.number(i, dph)) / targets.phase_bias_deg);
            // The table has four digits; displacement currents, which it leaves out, are below 1e-3 here.
            const reading::ReadingInput noise_free{.frequency_hz = f,
                                                   .a = a,
                                                   .b = b,
                                                   .sent_a = {},
                                                   .sent_b = {},
                                                   .noise = {},
                                                   .plane_impedance_ohm = table.plane_impedance_ohm()};
            const double ours = reading::bias_ratio(reading::read_tensor(noise_free), targets);
            check.error(std::abs(ours - expected) / (0.03 + 2e-3 * expected), 1,
                        std::string(ra) + " at r/delta " + csv.text(i, "r_over_delta"));
        }
    }
}

/// What a station at this offset is judged by: 7 s of loop A at 900 A m2 and 4 s of loop B at 1300.
reading::ReadingInput reading_at(const reading::OffsetFields& table, double offset_m) {
    reading::ReadingInput in{.frequency_hz = 8525,
                             .a = table.at(0, 10, 0, offset_m, 55),
                             .b = table.at(1, 95, 0, offset_m, 55),
                             .noise = {.h = {1e-18, 0, 1e-19}, .e = {1e-17, 0, 2e-17}},
                             .window_enbw_bins = 1.5,
                             .plane_impedance_ohm = table.plane_impedance_ohm(),
                             .recorded_s = 60,
                             .offset_m = offset_m};
    in.sent_a.add(900, 7);
    in.sent_b.add(1300, 4);
    return in;
}

/// The error over its target that terms give with these dwells.
double error_of(const std::vector<reading::DwellTerm>& terms, double dwell_a_s, double dwell_b_s) {
    double worst = 0;
    for (const reading::DwellTerm& term : terms)
        worst = std::max(worst, term.a_s / dwell_a_s + term.b_s / dwell_b_s);
    return std::sqrt(worst);
}

TEST(DwellTerms, SayTheSameAsTheJudgement) {
    // Identity: the terms against the judgement; closed form of the law of stacking.
    const reading::OffsetFields table(three_layers, 8525, 4.5, 4.5, reading::OffsetGrid(30, 4000));
    plan::Targets targets;
    targets.elements = {plan::Element::xx, plan::Element::xy, plan::Element::yx, plan::Element::yy};
    targets.rho_bias_percent = targets.phase_bias_deg = 1e9;  // errors alone decide
    targets.near_field_bias_percent = targets.near_field_bias_deg = 2e9;
    for (const double offset_m : {100.0, 500.0, 900.0, 2500.0}) {
        const reading::ReadingInput in = reading_at(table, offset_m);
        const auto terms = reading::dwell_terms(in, targets).uncorrelated;
        const double ratio = error_of(terms, 7, 4);
        // The judgement changes exactly where the ratio says: targets scaled to just above and just below.
        for (const double scale : {0.999, 1.001}) {
            plan::Targets scaled = targets;
            scaled.rho_error_percent *= ratio * scale;
            scaled.phase_error_deg *= ratio * scale;
            EXPECT_EQ(reading::assess_reading(in, scaled).verdict,
                      scale > 1 ? reading::Verdict::usable : reading::Verdict::noisy)
                << offset_m;
        }
        EXPECT_NEAR(reading::error_ratio(reading::read_tensor(in), targets), ratio, 1e-12 * ratio);
        // Coherent stacking: four times the dwell halves the error (square-root-of-time law).
        EXPECT_NEAR(error_of(terms, 28, 16), ratio / 2, 1e-12 * ratio);
    }
}

TEST(DwellTerms, CorrelatedOnesSayTheSameAsTheCorrelatedBars) {
    // Identity: the terms against the bars of the judgement.
    const reading::OffsetFields table(three_layers, 8525, 4.5, 4.5, reading::OffsetGrid(30, 4000));
    plan::Targets
        targets;  // the stricter target: 5 % of resistivity is 1.43 deg of phase, so resistivity decides
    for (const double offset_m : {100.0, 500.0, 900.0, 2500.0}) {
        const reading::ReadingInput in = reading_at(table, offset_m);
        const reading::Reading out = reading::assess_reading(in, targets);
        const reading::DwellTerms terms = reading::dwell_terms(in, targets);
        const double correlated =
            std::max(out.correlated_resistivity_sd_xy_percent, out.correlated_resistivity_sd_yx_percent) / 5;
        EXPECT_NEAR(error_of(terms.correlated, 7, 4), correlated, 1e-9 * correlated) << offset_m;
        const double uncorrelated =
            std::max(out.resistivity_sd_xy_percent, out.resistivity_sd_yx_percent) / 5;
        EXPECT_NEAR(error_of(terms.uncorrelated, 7, 4), uncorrelated, 1e-9 * uncorrelated) << offset_m;
    }
}

TEST(DwellTerms, AreInfiniteWhereTheLoopsActAlike) {
    const reading::OffsetFields table(three_layers, 8525, 4.5, 4.5, reading::OffsetGrid(30, 4000));
    reading::ReadingInput in = reading_at(table, 500);
    in.b = in.a;
    const reading::DwellTerms terms = reading::dwell_terms(in, plan::Targets{});
    ASSERT_EQ(terms.uncorrelated.size(), 2u);
    ASSERT_EQ(terms.correlated.size(), 2u);
    for (const reading::DwellTerm& term : terms.uncorrelated) EXPECT_TRUE(std::isinf(term.a_s));
    EXPECT_TRUE(std::isinf(error_of(terms.uncorrelated, 10, 10)));
    EXPECT_FALSE(reading::read_tensor_if_any(in).has_value());
    EXPECT_TRUE(std::isinf(reading::error_ratio(reading::read_tensor_if_any(in), plan::Targets{})));
    EXPECT_TRUE(std::isinf(reading::bias_ratio(reading::read_tensor_if_any(in), plan::Targets{})));
}

TEST(ErrorRatio, IsInfiniteUntilBothLoopsWereSentAndTheBiasIsNot) {
    // Identity: the ratio against the terms.
    const reading::OffsetFields table(three_layers, 8525, 4.5, 4.5, reading::OffsetGrid(30, 4000));
    reading::ReadingInput in = reading_at(table, 500);
    const double bias = reading::bias_ratio(reading::read_tensor(in), plan::Targets{});
    in.sent_b = {};
    EXPECT_TRUE(std::isinf(reading::error_ratio(reading::read_tensor(in), plan::Targets{})));
    EXPECT_NEAR(reading::bias_ratio(reading::read_tensor(in), plan::Targets{}), bias, 1e-9 * bias);
    for (const reading::DwellTerm& term : reading::dwell_terms(in, plan::Targets{}).uncorrelated)
        EXPECT_TRUE(std::isinf(term.b_s));
}

TEST(Reach, WindowsShrinkWithTargetsAndGrowWithMoment) {
    // Closed form: the error falls with moment, and with the root of the dwell.
    const Reach plain = reach_of(quick_plan(), {.sector_count = 2, .offset_max_m = 3000});
    const Reach longer =
        reach_of(quick_plan({{"sweep.dwell_s", "40"}}), {.sector_count = 2, .offset_max_m = 3000});
    const Reach stricter =
        reach_of(quick_plan({{"targets.rho_bias_percent", "2"}, {"targets.phase_bias_deg", "0.8"}}),
                 {.sector_count = 2, .offset_max_m = 3000});
    ASSERT_EQ(plain.frequencies.size(), 4u);
    for (std::size_t f = 0; f < 4; ++f) {
        const ReachCell& cell = plain.frequencies[f].all_directions;
        ASSERT_TRUE(sufficient_snr_to_m(cell).has_value());
        EXPECT_GT(*sufficient_snr_to_m(longer.frequencies[f].all_directions), *sufficient_snr_to_m(cell));
        const auto from = far_field_from_m(cell, plain.offset_max_m),
                   strict_from = far_field_from_m(stricter.frequencies[f].all_directions, 3000);
        if (from && strict_from) {
            EXPECT_GT(*strict_from, *from);
        }
        if (cell.opening) {
            // What it says would open the window does: the plane offset is strong with that much more dwell.
            EXPECT_NEAR(cell.opening->dwell_factor, std::pow(cell.opening->moment_factor, 2),
                        1e-9 * cell.opening->dwell_factor);
            EXPECT_GT(cell.opening->moment_factor, 1);
            EXPECT_GT(cell.opening->tolerance_factor, 1);
        }
        for (const ReachCell& sector : plain.frequencies[f].sectors)  // no sector is worse than all of them
            EXPECT_GE(sufficient_snr_to_m(sector).value_or(0), *sufficient_snr_to_m(cell));
    }
}

TEST(Reach, WhatWouldOpenAWindowDoes) {
    const Reach shut = reach_of(quick_plan(), {.sector_count = 1, .offset_max_m = 6000});
    const ReachFrequency& f = shut.frequencies[0];
    ASSERT_TRUE(f.all_directions.opening.has_value())
        << "975 Hz has a window; the test needs one that is shut";
    ASSERT_TRUE(std::isfinite(f.all_directions.opening->dwell_factor));
    const double needed_s = f.dwell_a_s * f.all_directions.opening->dwell_factor;
    for (const double share : {0.97, 1.03}) {
        const Reach again = reach_of(quick_plan({{"sweep.max_dwell_s", "86400"},
                                                 {"sweep.dwell_s", std::to_string(share * needed_s)},
                                                 {"sweep.frequencies_hz", "[975]"}}),
                                     {.sector_count = 1, .offset_max_m = 6000});
        EXPECT_EQ(again.frequencies[0].all_directions.usable.empty(), share < 1);
    }
}

TEST(Reach, TellsTheHoursThatOpenAWindow) {
    // Noisy but for two hours before and two after midnight and one at noon; a strong natural field decides.
    std::string levels = "[";
    for (int hour = 0; hour < 24; ++hour)
        levels += hour < 2 || hour >= 22 || hour == 12 ? "\"quiet_day\"," : "\"summer_night\",";
    levels += "]";
    const std::vector<plan::file::Setting> noisy{
        {"noise.natural_by_hour", levels}, {"noise.natural_factor", "5"}, {"noise.mains_b_nt", "0"}};
    const Reach reach = reach_of(quick_plan(noisy), {.sector_count = 1, .offset_max_m = 6000, .hour = 9});
    EXPECT_TRUE(reach.noise_by_hour);
    int told = 0;
    for (const ReachFrequency& f : reach.frequencies) {
        if (!f.all_directions.opening || f.all_directions.opening->natural_levels.empty()) continue;
        ++told;
        EXPECT_EQ(f.all_directions.opening->hours, (std::vector<int>{0, 1, 12, 22, 23}));
        EXPECT_THAT(
            opening_text(f.all_directions, reach, f),
            HasSubstr(
                "record from 12:00 to 13:00 and 22:00 to 02:00 local time, natural field of a quiet day"));
        // And at these hours it is open.
        for (const int hour : {1, 12, 23}) {
            const Reach then =
                reach_of(quick_plan(noisy), {.sector_count = 1, .offset_max_m = 6000, .hour = hour});
            const auto same = std::find_if(then.frequencies.begin(), then.frequencies.end(),
                                           [&](const auto& g) { return g.frequency_hz == f.frequency_hz; });
            EXPECT_FALSE(same->all_directions.usable.empty()) << f.frequency_hz << " Hz at " << hour;
        }
    }
    EXPECT_GT(told, 0) << "the test needs a frequency that quiet hours open";
    // The same noise all day: no hour helps, and it says so.
    const Reach level = reach_of(quick_plan({{"noise.natural", "\"summer_night\""},
                                             {"noise.natural_factor", "5"},
                                             {"noise.mains_b_nt", "0"}}),
                                 {.sector_count = 1, .offset_max_m = 6000});
    for (const ReachFrequency& f : level.frequencies)
        if (f.all_directions.opening && !f.all_directions.opening->natural_levels.empty()) {
            EXPECT_TRUE(f.all_directions.opening->hours.empty());
            EXPECT_THAT(opening_text(f.all_directions, level, f), HasSubstr("the same at every hour"));
        }
}

TEST(HourRanges, JoinNeighboursAndThroughMidnight) {
    EXPECT_EQ(base::hour_ranges_text({0, 1, 2, 8, 22, 23}), "08:00 to 09:00 and 22:00 to 03:00");
    EXPECT_EQ(base::hour_ranges_text({5}), "05:00 to 06:00");
    EXPECT_EQ(base::hour_ranges_text({23}), "23:00 to 24:00");
    std::vector<int> all(24);
    std::iota(all.begin(), all.end(), 0);
    EXPECT_EQ(base::hour_ranges_text(all), "00:00 to 24:00");
    EXPECT_EQ(base::hour_ranges_text({}), "");
}

TEST(Reach, SameBytesWhateverTheThreads) {
    const plan::Plan plan = quick_plan();
    const Reach one = reach_of(plan, {.sector_count = 2, .threads = 1}),
                four = reach_of(plan, {.sector_count = 2, .threads = 4});
    EXPECT_EQ(reach_json_text(one), reach_json_text(four));
    const auto json = nlohmann::json::parse(reach_json_text(one));
    EXPECT_EQ(json.at("frequencies").size(), 4u);
    EXPECT_EQ(reach_text(one, false).find("nan"), std::string::npos);
    EXPECT_THAT(reach_html(one), HasSubstr("Invented scenario"));
    for (const base::NamedText& table : reach_tables(one))
        EXPECT_THAT(table.text, HasSubstr("frequency_hz,")) << table.name;
}

TEST(Reach, RefusesWhatItCannotDo) {
    const plan::Plan plan = quick_plan();
    EXPECT_THROW((void)reach_of(plan, {.sector_count = 0}), base::InputError);
    EXPECT_THROW((void)reach_of(plan, {.offset_min_m = 500, .offset_max_m = 100}), base::InputError);
    EXPECT_THROW((void)reach_of(plan, {.offset_max_m = 1e6}), base::InputError);
    EXPECT_THROW((void)reach_of(plan, {.hour = 24}), base::InputError);
}

TEST(Reach, DotsOfAStationWithItsOwnDirectionAreThoseOfASurveyWithThatDirection) {
    // Identity: a natural field from one side, at one station or everywhere.
    const auto windows = [](const char* key) {
        std::vector<plan::file::Setting> settings{{"targets.rho_bias_percent", "40"},
                                                  {"targets.phase_bias_deg", "60"},
                                                  {"targets.near_field_bias_deg", "80"},
                                                  {"noise.natural_factor", "2"},
                                                  {"noise.natural_along_fraction", "1"}};
        if (*key != '\0') settings.push_back({key, "90"});
        std::vector<std::vector<bool>> out;
        for (const ReachStation& station : reach_of(quick_plan(settings), {}).stations)
            out.push_back(station.in_window);
        return out;
    };
    const auto own = windows("station[2].natural_azimuth_deg"), survey = windows(""),
               there = windows("noise.natural_azimuth_deg");
    EXPECT_EQ(own.at(0), survey.at(0));
    EXPECT_EQ(own.at(1), there.at(1));
    EXPECT_NE(own.at(1), survey.at(1)) << "else this tells nothing";
}

TEST(Reach, DotsOfStationsWithTheirOwnAreThoseOfAPlanThatIsEverywhereLikeThere) {
    // Identity: over the station's own ground and in its own noise, the window is that of such a survey.
    const std::vector<plan::file::Setting> loose{{"targets.rho_bias_percent", "40"},
                                                 {"targets.phase_bias_deg", "60"},
                                                 {"targets.near_field_bias_deg", "80"}};
    plan::Plan plan = quick_plan(loose);
    plan::Ground bog = plan.earth;
    bog.resistivity_ohm_m = {30, 900};
    plan.grounds = {{"bog", bog}};
    plan.stations[1].ground_index = 0;
    plan.stations[1].mains_b_nt = 3;
    plan::Plan everywhere = quick_plan(loose);
    everywhere.earth = bog;
    everywhere.noise.mains_b_nt = 3;
    const Reach own = reach_of(plan, {}), survey = reach_of(quick_plan(loose), {}),
                there = reach_of(everywhere, {});
    ASSERT_EQ(own.stations.size(), 2u);
    EXPECT_EQ(own.stations[0].in_window, survey.stations[0].in_window);
    EXPECT_EQ(own.stations[1].in_window, there.stations[1].in_window);
    EXPECT_NE(own.stations[1].in_window, survey.stations[1].in_window) << "else this tells nothing";
    EXPECT_EQ(own.frequencies[0].plane_resistivity_ohm_m, survey.frequencies[0].plane_resistivity_ohm_m);
}

}  // namespace reach_test
}  // namespace ampturn::reach
