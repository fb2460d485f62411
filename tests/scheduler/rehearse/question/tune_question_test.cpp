#include "scheduler/rehearse/question/tune_question.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/rehearse/question/tune_question_output.hpp"
#include "tests/paths.hpp"

namespace tune_question_test {

using namespace ampturn;
using namespace ampturn::rehearse::question;

plan::Plan asking(std::vector<plan::file::Setting> settings = {}, bool depth = false) {
    plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
    plan::Question question;
    if (depth) {
        question.text = "How deep is the top layer?";
        question.kind = plan::QuestionKind::depth;
        question.interface = 1;
        question.within_m = 1;
    } else {
        question.text = "Is there a thin layer on top?";
        question.with_target = plan.earth;
        question.with_target.resistivity_ohm_m = {100, 70, 100, 400};
        question.with_target.thickness_m = {6, 4, 20};
        question.with_target.relative_permittivity.assign(4, 10);
        question.with_target.relative_permeability.assign(4, 1);
        question.with_target.anisotropy.assign(4, 1);
    }
    plan.question = question;
    return plan;
}
constexpr QuestionTuneOptions few_runs{.runs = 200};

TEST(TuneForQuestion, AnswersBetterForTheSameCostAndTheNewPlanLoads) {
    // Definition of whole cycles and of a price; identity: a tuned plan tuned again.
    for (const bool depth : {false, true}) {
        const QuestionTuned tuned = tune_for_question(asking({}, depth), few_runs);
        EXPECT_TRUE(tuned.own_budget);
        EXPECT_FALSE(tuned.kept_input);
        EXPECT_GT(tuned.after.distance, 1.005 * tuned.before.distance);
        EXPECT_LE(tuned.after.distance, tuned.distance_limit);
        EXPECT_GE(tuned.after.distance,
                  tuned.distance_limit * (1 - 1e-4));  // whole cycles cost next to nothing
        EXPECT_LE(tuned.after.duration_s, tuned.before.duration_s * (1 + 1e-9));
        EXPECT_LE(tuned.after.energy_wh, tuned.before.energy_wh * (1 + 1e-9));
        ASSERT_TRUE(tuned.as_before);
        EXPECT_LT(tuned.as_before->duration_s, tuned.before.duration_s);
        ASSERT_EQ(tuned.frequencies.size(), 4u);
        for (const QuestionFrequency& f : tuned.frequencies) {
            const plan::Step& a = tuned.plan.sweep.steps[f.step_a];
            EXPECT_NEAR(a.dwell_s, f.after.a_s, 1e-6 / f.frequency_hz) << "told as sent";
            EXPECT_NEAR(a.dwell_s * f.frequency_hz, std::round(a.dwell_s * f.frequency_hz), 1e-5)
                << "whole cycles";
            EXPECT_GE(f.information_loss_nats, 0);
            EXPECT_NEAR(f.nats_per_wh * f.energy_wh_after * tuned.sweeps, f.information_loss_nats,
                        1e-9 * f.information_loss_nats);
        }
        const plan::Plan again = plan::file::parse_plan(plan::file::write_plan(tuned.plan), "tuned.toml");
        for (std::size_t i = 0; i < again.sweep.steps.size(); ++i)
            EXPECT_EQ(again.sweep.steps[i].dwell_s, tuned.plan.sweep.steps[i].dwell_s);
        // A tuned plan is as good as it gets.
        const QuestionTuned twice = tune_for_question(tuned.plan, few_runs);
        EXPECT_NEAR(twice.after.distance, tuned.after.distance, 1e-5 * tuned.after.distance);
    }
}

TEST(TuneForQuestion, ASweepThatTwoStationsListenToIsPaidForOnce) {
    plan::Plan apart = asking(), together = asking();
    together.receiver_crews = {
        {.name = "Juniper", .people = {}, .sensor_sets = 2, .set_up_min = {}, .pack_up_min = {}}};
    // Here the grounds show in the difference of the two stations: one set errs alike at both, two sets do not.
    EXPECT_LT(tune_for_question(together, few_runs).before.distance,
              0.99 * tune_for_question(apart, few_runs).before.distance);
    apart.receiver.calibration_percent = together.receiver.calibration_percent = 0;
    const QuestionTuned of_two = tune_for_question(apart, few_runs),
                        of_one = tune_for_question(together, few_runs);
    EXPECT_EQ(of_two.sweeps, 2) << "definition: one for each station";
    EXPECT_EQ(of_one.sweeps, 1) << "definition: one for both";
    ASSERT_EQ(of_one.frequencies.size(), of_two.frequencies.size());
    for (std::size_t i = 0; i < of_one.frequencies.size(); ++i) {
        const QuestionFrequency &one = of_one.frequencies[i], &two = of_two.frequencies[i];
        EXPECT_NEAR(one.information_loss_nats, two.information_loss_nats, 1e-9) << "identity: the same data";
        EXPECT_NEAR(one.nats_per_wh, 2 * two.nats_per_wh, 1e-9 * two.nats_per_wh)
            << "identity: at half the energy";
    }
}

TEST(TuneForQuestion, SaysWhatTheGainsOfTheSensorsDecide) {
    // Identity: where gains are exact, exact ones change nothing; law: they part the answers farther.
    const QuestionTuned exact = tune_for_question(asking({{"receiver.calibration_percent", "0"}}), few_runs);
    EXPECT_NEAR(exact.distance_with_exact_gains, exact.after.distance, 1e-9 * exact.after.distance);
    double before = exact.after.distance;
    for (const char* percent : {"0.2", "1", "5"}) {
        const QuestionTuned tuned =
            tune_for_question(asking({{"receiver.calibration_percent", percent}}), few_runs);
        EXPECT_GT(tuned.distance_with_exact_gains, tuned.after.distance) << percent;
        EXPECT_LE(tuned.distance_with_exact_gains, exact.distance_limit * (1 + 1e-9)) << percent;
        EXPECT_LT(tuned.after.distance, before) << percent;
        before = tuned.after.distance;
    }
}

TEST(TuneForQuestion, TheDayOfTheSequencerSaysTheSame) {
    // Independent: the simulated day against the planning outputs.
    // Two ways to the same distance: planning outputs, and what the simulated day sends. They differ by the
    // battery's state and the winding's warmth: a few per cent of the moment.
    const plan::Plan plan = asking();
    const QuestionTuned tuned = tune_for_question(plan, few_runs);
    const QuestionDays days = question_days(plan, tuned.plan, few_runs);
    ASSERT_TRUE(days.before.completed);
    EXPECT_NEAR(days.answer_before.distance / tuned.before.distance, 1, 0.03);
    EXPECT_NEAR(days.answer_after.distance / tuned.after.distance, 1, 0.03);
    EXPECT_GT(days.answer_after.distance, days.answer_before.distance);
}

TEST(TuneForQuestion, NeverWorseThanTheInput) {
    for (const char* dwell : {"2", "10", "55"}) {
        const QuestionTuned tuned = tune_for_question(asking({{"sweep.dwell_s", dwell}}), few_runs);
        EXPECT_GE(tuned.after.distance, tuned.before.distance) << dwell;
    }
}

TEST(TuneForQuestion, BudgetsAreKeptAndMonotone) {
    const QuestionTuned own = tune_for_question(asking(), few_runs);
    for (const bool time : {true, false}) {
        double previous = 0;
        for (const double share : {0.6, 0.8, 1.0, 1.5}) {
            const double budget = share * (time ? own.before.duration_s : own.before.energy_wh);
            const QuestionTuned tuned =
                tune_for_question(asking({{time ? "sweep.time_budget_s" : "sweep.energy_budget_wh",
                                           fmt::format("{:.17g}", budget)}}),
                                  few_runs);
            EXPECT_FALSE(tuned.own_budget);
            EXPECT_LE(time ? tuned.after.duration_s : tuned.after.energy_wh, budget * (1 + 1e-9));
            EXPECT_GE(tuned.after.distance, previous * (1 - 1e-6));
            previous = tuned.after.distance;
        }
    }
}

TEST(TuneForQuestion, CoherentRecordsAreWhole) {
    // Definition of whole records.
    const QuestionTuned tuned = tune_for_question(asking({{"sweep.coherent_records", "true"}}), few_runs);
    for (const plan::Step& step : tuned.plan.sweep.steps)
        EXPECT_NEAR(step.dwell_s, std::round(step.dwell_s), 1e-9);  // records of 1 s
}

TEST(TuneForQuestion, IsTheSameWhateverTheThreads) {
    const plan::Plan plan = asking();
    EXPECT_EQ(question_tune_json_text(tune_for_question(plan, {.runs = 50, .threads = 1}), std::nullopt),
              question_tune_json_text(tune_for_question(plan, {.runs = 50, .threads = 2}), std::nullopt));
}

TEST(TuneForQuestion, SaysWhatIsMissing) {
    plan::Plan silent = asking();
    silent.question.reset();
    EXPECT_THROW((void)tune_for_question(silent, {}), base::InputError);
    plan::Plan lame = asking();
    lame.sweep.steps.pop_back();
    EXPECT_THROW((void)tune_for_question(lame, {}), base::InputError);
    try {
        (void)tune_for_question(asking({{"sweep.time_budget_s", "1"}}), {});
        FAIL() << "one second for eight steps";
    } catch (const base::InputError& error) {
        EXPECT_THAT(error.what(), testing::HasSubstr("sweep.time_budget_s"));
        EXPECT_THAT(error.what(), testing::HasSubstr("at least"));
    }
}

TEST(TuneForQuestion, OutputsHoldTheSameNumbers) {
    // Identity: the file holds the result's numbers.
    const QuestionTuned tuned = tune_for_question(asking(), few_runs);
    const auto json = nlohmann::json::parse(question_tune_json_text(tuned, std::nullopt));
    EXPECT_EQ(json.at("frequencies").size(), 4u);
    EXPECT_NEAR(json.at("sweep_after").at("distance_sd").get<double>(), tuned.after.distance,
                1e-8 * tuned.after.distance);
    EXPECT_THAT(question_tune_text(tuned, std::nullopt, false), testing::HasSubstr("told apart with 95 %"));
    EXPECT_THAT(question_tune_html(tuned, std::nullopt), testing::HasSubstr("chart-dwell"));
    EXPECT_THAT(question_tune_csv(tuned), testing::HasSubstr("lost_without_nats_per_wh"));
}

}  // namespace tune_question_test
