#include "scheduler/rehearse/rehearse.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>

#include "scheduler/day/day.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/rehearse/agreement.hpp"
#include "scheduler/rehearse/coverage.hpp"
#include "scheduler/rehearse/rehearsal_json.hpp"
#include "scheduler/rehearse/rehearsal_page.hpp"
#include "tests/paths.hpp"

namespace rehearse_test {

using namespace ampturn;
using namespace ampturn::rehearse;
using namespace ampturn::rehearse::station;

const plan::Plan& quick() {
    static const plan::Plan plan = [] {
        plan::Plan p =
            plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), {{"sweep.dwell_s", "4"}});
        plan::Question question;
        question.text = "How deep is the top layer?";
        question.kind = plan::QuestionKind::depth;
        question.interface = 1;
        question.within_m = 3;
        p.question = question;
        return p;
    }();
    return plan;
}
const day::DayResult& day() {
    static const day::DayResult day = day::simulate_day(quick());
    return day;
}

TEST(Rehearse, IsTheSameWhateverTheThreadsAndAnswersTheQuestion) {
    // Definition: the clock error drawn; closed form: a Gaussian inside +-3 m.
    const RehearsalResult one = rehearse::rehearse(quick(), day(), {.seed = 5, .threads = 1});
    const RehearsalResult two = rehearse::rehearse(quick(), day(), {.seed = 5, .threads = 2});
    EXPECT_EQ(rehearsal_json_text(one), rehearsal_json_text(two));
    EXPECT_EQ(rehearsal_html(one), rehearsal_html(two));
    ASSERT_EQ(one.measured.size(), 8u);
    for (const StationFrequencyResult& m : one.measured) EXPECT_TRUE(m.measured) << m.why_not;
    ASSERT_EQ(one.stations.size(), 2u);
    for (const StationResult& s : one.stations) {
        ASSERT_EQ(s.sections.size(), 4u) << s.note;
        EXPECT_TRUE(s.sections[2].reached_target) << "smooth, true source";
        EXPECT_GT(s.sections[2].depth_of_investigation_m, 30);
        EXPECT_NEAR(s.clock_error_found_ppm, s.clock_error_ppm, 0.2);
    }
    // Near the source the plane wave does not fit and the source does.
    EXPECT_GT(one.stations[0].sections[0].misfit_rms, 1.3 * one.stations[0].sections[2].misfit_rms);
    ASSERT_TRUE(one.answer.asked);
    EXPECT_GT(one.answer.depth_sd_m, 0.05);
    EXPECT_LT(one.answer.depth_sd_m, 30);
    EXPECT_NEAR(one.answer.probability_right, std::erf(3 / one.answer.depth_sd_m / std::sqrt(2.0)), 0.15);
    ASSERT_EQ(one.answer.frequencies.size(), 4u);
    for (const FrequencyInformation& f : one.answer.frequencies) {
        EXPECT_GE(f.information_loss_nats, 0);
        EXPECT_GT(f.energy_wh, 0);
    }
}

TEST(Rehearse, ScatterAndJackknifeAreThePlannedBars) {
    // Closed form: shares of a Gaussian; independent: scatter against planned bars.
    // Six seeds of two stations and four frequencies, both elements: 96 impedances know their scatter to
    // 1/sqrt(192) = 7 %.
    std::vector<StationFrequencyResult> all;
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        const auto result = rehearse::rehearse(quick(), day(), {.seed = seed, .threads = 2, .invert = false});
        all.insert(all.end(), result.measured.begin(), result.measured.end());
    }
    AgreementSum sum;
    for (const StationFrequencyResult& m : all) sum.add(m);
    const Agreement agreement = sum.value();
    EXPECT_GE(agreement.elements, 80);
    EXPECT_NEAR(agreement.scatter_over_planned, 1, 0.2);
    EXPECT_NEAR(agreement.jackknife_over_planned, 1, 0.2);
    EXPECT_NEAR(agreement.inside_one_sd, 0.683, 0.1);
    EXPECT_NEAR(agreement.inside_two_sd, 0.954, 0.05);
}

TEST(CoverageStudy, FindsWhatTheLongWayFinds) {
    // Independent: planned bars, and shares of a Gaussian. 60 days of 16 impedances know the scatter to 1/sqrt(4 * 960) =
    // 1.6 % and the shares to 1.5 and 0.7 %; heavy tails of the natural field, which the robust estimate turns down, make
    // the scatter a little longer than planned, as the long way's, above, is.
    const setup::SurveySetup setup = setup::survey_setup_of(quick());
    const CoverageResult study = coverage_study(quick(), setup, day(), {.seed = 1, .days = 60, .threads = 2});
    EXPECT_EQ(study.steps_synthesised, 0);
    EXPECT_EQ(study.steps_drawn, 60 * 2 * 8);
    EXPECT_GE(study.whole.elements, 800);
    EXPECT_NEAR(study.whole.scatter_over_planned, 1.03, 0.07);
    EXPECT_NEAR(study.whole.jackknife_over_planned, 1.03, 0.07);
    EXPECT_NEAR(study.whole.inside_one_sd, 0.683, 0.05);
    EXPECT_NEAR(study.whole.inside_two_sd, 0.954, 0.03);
}

TEST(CoverageStudy, SynthesisesWhatMayMeetTheEndOfAConverter) {
    plan::Plan plan = quick();
    plan.receiver.b_full_scale_nt = 0.5;  // below what the mains come to
    plan.noise.mains_b_nt = 1;
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const CoverageResult study =
        coverage_study(plan, setup, day(), {.seed = 1, .days = 1, .threads = 2, .stations = {"far"}});
    EXPECT_EQ(study.steps_drawn, 0);
    EXPECT_EQ(study.steps_synthesised, 8);
}

TEST(Rehearse, KeepsTheSeriesOfTheStationAskedFor) {
    const std::string folder = std::filesystem::temp_directory_path() / "ampturn_rehearse_keep";
    std::filesystem::remove_all(folder);
    std::filesystem::create_directories(folder);
    const auto result = rehearse::rehearse(
        quick(), day(), {.seed = 1, .stations = {"far"}, .keep_directory = folder, .invert = false});
    EXPECT_EQ(result.stations.size(), 1u);
    int raw = 0, side_cars = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        raw += entry.path().extension() == ".f32";
        side_cars += entry.path().extension() == ".json";
    }
    EXPECT_EQ(raw, 8);  // four frequencies, two loops
    EXPECT_EQ(side_cars, 8);
    std::filesystem::remove_all(folder);
}

TEST(Rehearse, NamesAnUnknownStation) {
    EXPECT_THROW(rehearse::rehearse(quick(), day(), {.stations = {"nowhere"}}), base::InputError);
}

TEST(Rehearse, SaysWhyNothingWasMeasured) {
    plan::Plan plan = quick();
    plan.receiver.sample_rate_hz = 16000;  // 8525 Hz and 25475 Hz are beyond half of it
    plan.receiver.record_length = 16000;
    const auto result = rehearse::rehearse(
        plan, day(), {.seed = 1, .stations = {"near"}, .invert = false, .question_runs = 10});
    for (const StationFrequencyResult& m : result.measured) {
        EXPECT_EQ(m.measured, m.frequency_hz < 8000);
        if (!m.measured) {
            EXPECT_NE(m.why_not.find("half the sample rate"), std::string::npos) << m.why_not;
        }
    }
}

}  // namespace rehearse_test
