#include "scheduler/tune/tune.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/tune/tune_output.hpp"
#include "tests/paths.hpp"

namespace ampturn::tune {
namespace tune_test {

/// Looser bias, so that dwell decides.
plan::Plan quick_plan(std::vector<plan::file::Setting> settings = {}) {
    settings.push_back({"targets.rho_bias_percent", "60"});
    settings.push_back({"targets.phase_bias_deg", "30"});
    settings.push_back({"targets.near_field_bias_percent", "100"});
    settings.push_back({"targets.near_field_bias_deg", "89"});
    // Dwell decides, not what sensors are off by.
    settings.push_back({"receiver.calibration_percent", "0.01"});
    settings.push_back({"receiver.azimuth_error_deg", "0"});
    settings.push_back({"receiver.level_error_deg", "0"});
    settings.push_back({"targets.rho_error_percent", "1"});
    settings.push_back({"targets.phase_error_deg", "0.4"});
    return plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

TEST(Tune, TargetsAreMetAndTheNewPlanLoads) {
    // Definition of whole cycles.
    const Tuned tuned = tune(quick_plan(), {});
    ASSERT_EQ(tuned.frequencies.size(), 4u);
    int served = 0;
    for (const TunedFrequency& t : tuned.frequencies) {
        served += t.served;
        EXPECT_EQ(t.required, t.biased + t.too_weak + t.served);
        EXPECT_LE(t.relaxation_after, 1 + 1e-9);
        EXPECT_EQ(t.served > 0, t.decided_by.has_value());
        const plan::Step& a = tuned.plan.sweep.steps[t.step_a];
        EXPECT_NEAR(a.dwell_s, t.after.a_s, 1e-6 / t.frequency_hz) << "told as sent";
        EXPECT_NEAR(a.dwell_s * t.frequency_hz, std::round(a.dwell_s * t.frequency_hz), 1e-6)
            << "whole cycles";
    }
    EXPECT_GT(served, 0);
    const plan::Plan again = plan::file::parse_plan(plan::file::write_plan(tuned.plan), "tuned.toml");
    for (std::size_t i = 0; i < again.sweep.steps.size(); ++i)
        EXPECT_EQ(again.sweep.steps[i].dwell_s, tuned.plan.sweep.steps[i].dwell_s);
    // Tuning a tuned plan changes nothing that matters: it is as good already.
    const Tuned twice = tune(tuned.plan, {});
    EXPECT_LE(twice.after.energy_wh, tuned.after.energy_wh * (1 + 1e-9));
}

TEST(Tune, CheckLinesTableAndTuneJudgeALineAlike) {
    // 4.6 Hz from the 41st harmonic: farther than it wanders (4.1 Hz), nearer than the main lobe of a Hann
    // window and bins of 1 Hz add (6.1 Hz). Two guards stood in the program once, one without the lobe.
    const plan::Plan plan = quick_plan({{"sweep.frequencies_hz[2]", "2045.4"}});
    const model::receiver::PlacementVerdict line = plan::judge_placement_of(plan)[1];
    EXPECT_NEAR(line.mains_guard_hz, 6.1, 1e-9) << "closed form";
    ASSERT_TRUE(line.disturbed());
    ASSERT_TRUE(line.alternative_hz);
    EXPECT_GT(std::abs(*line.alternative_hz - 2050), 6.1);

    std::vector<plan::Remark> remarks = plan::plan_remarks(plan);
    std::erase_if(remarks, [](const plan::Remark& r) {
        return r.key == "day" || r.key == "day.walking_speed_km_h";  // it has no legs
    });
    ASSERT_EQ(remarks.size(), 1u);
    EXPECT_THAT(remarks[0].text, testing::HasSubstr("inside its guard of 6.1 Hz"));
    for (const setup::TableRow& row : setup::survey_setup_of(plan).table.rows)
        EXPECT_EQ(row.mains_clash_order, row.frequency_hz == line.frequency_hz ? 41 : 0) << row.frequency_hz;
    const Tuned tuned = tune(plan, {});
    for (std::size_t i = 0; i < tuned.frequencies.size(); ++i)
        EXPECT_EQ(tuned.frequencies[i].alternative_hz, i == 1 ? *line.alternative_hz : 0);
}

TEST(Tune, NeverWorseThanTheInputByItsOwnMeasure) {
    for (const char* dwell : {"2", "10", "55"}) {
        const Tuned tuned = tune(quick_plan({{"sweep.dwell_s", dwell}}), {});
        const double before = std::max(1.0, tuned.before.relaxation),
                     after = std::max(1.0, tuned.after.relaxation);
        EXPECT_TRUE(after < before || (after <= before * (1 + 1e-9) &&
                                       tuned.after.energy_wh <= tuned.before.energy_wh * (1 + 1e-9)))
            << dwell << " s: " << before << " to " << after;
    }
}

TEST(Tune, BudgetsAreKeptAndMonotone) {
    const double free_s = tune(quick_plan(), {}).after.duration_s;
    double previous = 0;
    for (const double share : {1.2, 0.9, 0.7, 0.5}) {
        const double budget_s = share * free_s;
        Tuned tuned;
        try {
            tuned = tune(quick_plan({{"sweep.time_budget_s", std::to_string(budget_s)}}), {});
        } catch (const base::InputError&) {
            EXPECT_LT(share, 0.9) << "below the shortest dwells";
            continue;
        }
        EXPECT_LE(tuned.after.duration_s, budget_s * (1 + 1e-9));
        EXPECT_GE(tuned.relaxation, previous - 1e-9) << share;
        previous = tuned.relaxation;
    }
}

TEST(Tune, SaysWhichBudgetIsImpossible) {
    try {
        (void)tune(quick_plan({{"sweep.time_budget_s", "1"}}), {});
        FAIL() << "one second for eight steps";
    } catch (const base::InputError& error) {
        EXPECT_THAT(error.what(), testing::HasSubstr("sweep.time_budget_s"));
        EXPECT_THAT(error.what(), testing::HasSubstr("at least"));
    }
}

TEST(Tune, CoherentRecordsAreWhole) {
    // Definition of whole records.
    const Tuned tuned = tune(quick_plan({{"sweep.coherent_records", "true"}}), {});
    for (const plan::Step& step : tuned.plan.sweep.steps)
        EXPECT_NEAR(step.dwell_s, std::round(step.dwell_s), 1e-9);  // records of 1 s
    for (const TunedFrequency& t : tuned.frequencies)               // sent: up to the next whole cycle
        EXPECT_LT(t.after.a_s - std::floor(t.after.a_s), 1 / t.frequency_hz);
}

TEST(Tune, OutputsHoldTheSameNumbers) {
    // Identity: the file holds the result's numbers.
    const Tuned tuned = tune(quick_plan(), {});
    const auto json = nlohmann::json::parse(tune_json_text(tuned, std::nullopt));
    EXPECT_EQ(json.at("frequencies").size(), 4u);
    EXPECT_NEAR(json.at("sweep_after").at("duration_s").get<double>(), tuned.after.duration_s, 1e-6);
    EXPECT_THAT(tune_text(tuned, std::nullopt, false), testing::HasSubstr("Before and after"));
    EXPECT_THAT(tune_html(tuned, std::nullopt), testing::HasSubstr("chart-dwell"));
    EXPECT_THAT(tune_csv(tuned), testing::HasSubstr("dwell_a_before_s"));
}

TEST(Tune, NeedsOneStepOfEachLoop) {
    plan::Plan plan = quick_plan();
    plan.sweep.steps.pop_back();
    EXPECT_THROW((void)tune(plan, {}), base::InputError);
}

// An assumption that decides the answer is said beside it, with what the answer would be without it, tried and not guessed.
TEST(Tune, SaysWhatTheSlopesOfTheCoilsCost) {
    const plan::Plan plan = quick_plan();
    Tuned tuned = tune(plan, {});
    EXPECT_THAT(tune_text(tuned, std::nullopt, false), testing::Not(testing::HasSubstr("Assumed")));
    tuned.with_flat_coils = tuned_with_flat_coils(plan, {});
    ASSERT_TRUE(tuned.with_flat_coils);
    // Identity: a person who states such coils in the plan's file is told the same.
    const std::vector<plan::file::Setting> stated{
        {"receiver.coil", "custom"},
        {"receiver.coil_floor_pt_per_rthz", std::to_string(plan.receiver.coil_floor_pt_per_rthz)}};
    const Tuned flat = tune(quick_plan(stated), {});
    EXPECT_NEAR(tuned.with_flat_coils->duration_s, flat.after.duration_s, 1e-6 * flat.after.duration_s);
    EXPECT_LT(flat.after.duration_s, tuned.after.duration_s) << "definition: less noise, shorter dwells";
    EXPECT_THAT(tune_text(tuned, std::nullopt, false), testing::HasSubstr("Assumed: the coils' noise"));
    EXPECT_THAT(tune_html(tuned, std::nullopt),
                testing::HasSubstr("Flat at its floor, the tuned sweep would be"));
    EXPECT_FALSE(tuned_with_flat_coils(quick_plan(stated), {})) << "definition: stated, not assumed";
}

}  // namespace tune_test
}  // namespace ampturn::tune
