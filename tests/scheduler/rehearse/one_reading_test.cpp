#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "scheduler/curve/curve.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/reach/reach.hpp"
#include "scheduler/rehearse/rehearse.hpp"
#include "scheduler/tune/tune.hpp"
#include "tests/paths.hpp"

// One station and frequency, whoever asks: the day's verdict, the curve, the dwells, the reach and the
// rehearsal tell the same tensor, error bars and bias.
namespace ampturn::rehearse {
namespace one_reading_test {

/// Frequencies that the clock gives exactly (divisors 25000 and 3072 of 24 MHz) and currents that the unit
/// holds, so that plan and day send the same. No mains: a rehearsal takes them as a plane wave, which is
/// another question.
plan::Plan plan_of(std::vector<plan::file::Setting> settings = {}) {
    settings.push_back({"sweep.frequencies_hz", "[960, 7812.5]"});
    settings.push_back({"noise.mains_b_nt", "0"});
    settings.push_back({"receiver.dipole_m", "1"});  // searches over places take it for a point
    for (const char* perfect :
         {"calibration_percent", "azimuth_error_deg", "level_error_deg"})  // as a rehearsal's sensors are
        settings.push_back({std::string("receiver.") + perfect, "0"});
    return plan::file::load_plan(test::source_path("demo/quick.toml"), settings);
}

void expect_same(double value, double expected, double tolerance_rel, const reading::Reading& at,
                 const char* what) {
    EXPECT_NEAR(value, expected, tolerance_rel * std::fabs(expected))
        << what << " of station " << at.station_index << " at " << at.frequency_hz << " Hz";
}

double error_over_target(const reading::Reading& r, const plan::Targets& targets) {
    return std::max(
        std::max(r.resistivity_sd_xy_percent, r.resistivity_sd_yx_percent) / targets.rho_error_percent,
        std::max(r.phase_sd_xy_deg, r.phase_sd_yx_deg) / targets.phase_error_deg);
}

double correlated_error_over_target(const reading::Reading& r, const plan::Targets& targets) {
    return std::max(
        std::max(r.correlated_resistivity_sd_xy_percent, r.correlated_resistivity_sd_yx_percent) /
            targets.rho_error_percent,
        std::max(r.correlated_phase_sd_xy_deg, r.correlated_phase_sd_yx_deg) / targets.phase_error_deg);
}

double bias_over_tolerance(const reading::Reading& r, const plan::Targets& targets) {
    return std::max(
        std::max(std::fabs(r.bias_xy_percent), std::fabs(r.bias_yx_percent)) / targets.rho_bias_percent,
        std::max(std::fabs(r.bias_xy_deg), std::fabs(r.bias_yx_deg)) / targets.phase_bias_deg);
}

double worst_at(const day::DayResult& day, double frequency_hz, const plan::Targets& targets,
                double (*measure)(const reading::Reading&, const plan::Targets&)) {
    double worst = 0;
    for (const reading::Reading& r : day.readings)
        if (r.frequency_hz == frequency_hz) worst = std::max(worst, measure(r, targets));
    return worst;
}

const curve::CurvePoint& curve_point(const curve::Curve& curve, const reading::Reading& r) {
    const std::vector<curve::CurvePoint>& points =
        curve.stations.at(static_cast<std::size_t>(r.station_index)).points;
    return *std::find_if(points.begin(), points.end(),
                         [&](const curve::CurvePoint& p) { return p.frequency_hz == r.frequency_hz; });
}

TEST(OneReading, DayAndCurveTellTheSameTensorBiasAndZone) {
    // At 25 % the bias of some readings lies between this limit and the usual 50 %.
    const plan::Plan plan = plan_of({{"targets.near_field_bias_percent", "25"}});
    const day::DayResult day = day::simulate_day(plan);
    const curve::Curve curve = curve::curve_of(plan);
    ASSERT_EQ(day.readings.size(), 4u);
    int only_near_by_this_limit = 0;
    for (const reading::Reading& r : day.readings) {
        const curve::CurvePoint& p = curve_point(curve, r);
        // The same arithmetic on fields of another scale.
        expect_same(p.xy.apparent_resistivity_ohm_m, r.resistivity_xy_ohm_m, 1e-12, r, "resistivity xy");
        expect_same(p.yx.apparent_resistivity_ohm_m, r.resistivity_yx_ohm_m, 1e-12, r, "resistivity yx");
        expect_same(p.xy.phase_deg, r.phase_xy_deg, 1e-12, r, "phase xy");
        expect_same(100 * p.bias_xy.resistivity_rel, r.bias_xy_percent, 1e-10, r, "bias xy");
        expect_same(100 * p.bias_yx.resistivity_rel, r.bias_yx_percent, 1e-10, r, "bias yx");
        expect_same(p.bias_yx.phase_deg, r.bias_yx_deg, 1e-10, r, "phase bias yx");
        expect_same(p.plane_resistivity_ohm_m, r.plane_resistivity_ohm_m, 1e-15, r, "plane wave");
        expect_same(p.offset_over_skin_depth, r.offset_over_skin_depth, 1e-15, r, "skin depths");
        EXPECT_EQ(p.zone == model::ground::Zone::near_field, r.verdict == reading::Verdict::near_field)
            << r.reason;
        const double bias = std::max(std::fabs(r.bias_xy_percent), std::fabs(r.bias_yx_percent));
        only_near_by_this_limit += bias > 25 && bias <= 50;
    }
    EXPECT_GT(only_near_by_this_limit, 0) << "the test needs a reading between the two limits";
}

TEST(OneReading, DayAndTuneTellTheSameErrorBars) {
    // Identity: one function makes the readings of both.
    const plan::Plan plan = plan_of();
    const day::DayResult day = day::simulate_day(plan);
    const tune::Tuned tuned = tune::tune(plan, {.margin_fraction = 0, .biased_too = true});
    ASSERT_EQ(tuned.frequencies.size(), 2u);
    for (const tune::TunedFrequency& t : tuned.frequencies) {
        ASSERT_EQ(t.served, 2);
        const reading::Reading& r =
            *std::find_if(day.readings.begin(), day.readings.end(),
                          [&](const reading::Reading& any) { return any.frequency_hz == t.frequency_hz; });
        ASSERT_NEAR(r.dwell_a_s, r.dwell_b_s, 1e-12 * r.dwell_a_s);  // differences of clock times
        expect_same(t.error_before, worst_at(day, t.frequency_hz, plan.targets, error_over_target), 1e-6, r,
                    "error over target");
        expect_same(t.correlated_before,
                    worst_at(day, t.frequency_hz, plan.targets, correlated_error_over_target), 1e-6, r,
                    "correlated error over target");
        EXPECT_LT(t.correlated_before, 0.99 * t.error_before) << "the test needs a natural field";
    }
}

TEST(OneReading, ReachEndsWhereTheDayMeetsItsTargets) {
    // Identity: one function makes the readings of both.
    plan::Plan plan = plan_of();
    const reach::Reach reach = reach::reach_of(plan, {.sector_count = 1, .offset_max_m = 8000});
    ASSERT_EQ(reach.frequencies.size(), 2u);
    // One sector has the directions 0, 90 and 180 deg, the last the same as the first: a station at each.
    plan.stations[0].bearing_deg = 0;
    plan.stations[1].bearing_deg = 90;
    int plane_ends = 0;
    for (const reach::ReachFrequency& f : reach.frequencies) {
        const auto day_at = [&](double offset_m) {
            for (plan::Station& station : plan.stations) station.offset_m = offset_m;
            return day::simulate_day(plan);
        };
        // Ends lie between samples 2 % apart; dipoles stand for loops of 6 m.
        ASSERT_TRUE(reach::sufficient_snr_to_m(f.all_directions).has_value());
        EXPECT_NEAR(worst_at(day_at(*reach::sufficient_snr_to_m(f.all_directions)), f.frequency_hz,
                             plan.targets, error_over_target),
                    1, 0.003)
            << f.frequency_hz;
        const auto from_m = reach::far_field_from_m(f.all_directions, reach.offset_max_m);
        if (!from_m) continue;
        ++plane_ends;
        EXPECT_NEAR(worst_at(day_at(*from_m), f.frequency_hz, plan.targets, bias_over_tolerance), 1, 0.003)
            << f.frequency_hz;
    }
    EXPECT_GT(plane_ends, 0) << "the test needs a frequency that becomes plane";
}

TEST(OneReading, DayAndRehearsalPlanTheSameErrorBars) {
    // Identity: one function makes the readings of both.
    const plan::Plan plan = plan_of({{"sweep.dwell_s", "4"}});
    const day::DayResult day = day::simulate_day(plan);
    constexpr int station_index = 1;  // of the plan; the rehearsal counts the stations it was asked for
    const auto rehearsed =
        rehearse(plan, day, {.seed = 3, .stations = {plan.stations[station_index].name}, .invert = false});
    ASSERT_EQ(rehearsed.measured.size(), 2u);
    for (const station::StationFrequencyResult& m : rehearsed.measured) {
        ASSERT_TRUE(m.measured) << m.why_not;
        const reading::Reading& r =
            *std::find_if(day.readings.begin(), day.readings.end(), [&](const reading::Reading& any) {
                return any.station_index == station_index && any.frequency_hz == m.frequency_hz;
            });
        ASSERT_NEAR(r.dwell_a_s, r.dwell_b_s, 1e-12 * r.dwell_a_s);    // differences of clock times
        ASSERT_NEAR(m.dwell_a_s, m.dwell_b_s, 1e-12 * m.dwell_a_s);    // differences of clock times
        const double by_dwell = std::sqrt(r.dwell_a_s / m.dwell_a_s);  // it uses whole records only
        expect_same(m.xy.true_resistivity_ohm_m, r.resistivity_xy_ohm_m, 1e-12, r, "resistivity xy");
        expect_same(m.yx.true_phase_deg, r.phase_yx_deg, 1e-12, r, "phase yx");
        expect_same(m.xy.planned_upper.resistivity_percent, by_dwell * r.resistivity_sd_xy_percent, 1e-9, r,
                    "error bar xy");
        expect_same(m.yx.planned_upper.phase_deg, by_dwell * r.phase_sd_yx_deg, 1e-9, r, "error bar yx");
        expect_same(m.xy.planned.resistivity_percent, by_dwell * r.correlated_resistivity_sd_xy_percent, 1e-9,
                    r, "correlated error bar xy");
        expect_same(m.yx.planned.phase_deg, by_dwell * r.correlated_phase_sd_yx_deg, 1e-9, r,
                    "correlated error bar yx");
    }
}

}  // namespace one_reading_test
}  // namespace ampturn::rehearse
