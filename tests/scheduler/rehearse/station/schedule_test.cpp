#include "scheduler/rehearse/station/schedule.hpp"

#include <gtest/gtest.h>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace schedule_test {

using namespace ampturn;
using namespace ampturn::rehearse::station;

double third_over_first(const setup::SurveySetup& setup, const model::transmitter::DriveRequest& request,
                        double temperature_c, double charge_fraction) {
    const auto point = model::transmitter::solve_operating_point(
        setup.transmitter,
        {.winding_c = {temperature_c, temperature_c},
         .electronics_c = temperature_c,
         .battery = model::transmitter::battery_source(setup.transmitter.design.battery, charge_fraction,
                                                       temperature_c)},
        request);
    return point.current.harmonic_peak_a[1] / point.current.harmonic_peak_a[0];
}

TEST(HarmonicRatios, AreThoseUnderTheConditionTheTableWasMadeFor) {
    setup::SurveySetup setup =
        setup::survey_setup_of(plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml")));
    ASSERT_LT(setup.table.made_for.temperature_c, -10) << "a winter's day";  // definition: the demo's air
    for (const setup::PlanningCondition made_for :
         {setup.table.made_for,
          setup::PlanningCondition{.temperature_c = 35, .state_of_charge_fraction = 0.9}}) {
        setup.table.made_for = made_for;
        const std::vector<HarmonicRatios> ratios = harmonic_ratios(setup.transmitter, setup.table);
        ASSERT_EQ(ratios.size(), setup.table.rows.size());
        int moved = 0;
        for (std::size_t i = 0; i < ratios.size(); ++i) {
            const model::transmitter::DriveRequest& request = setup.table.rows[i].request;
            // identity: the operating point of that condition
            EXPECT_EQ(ratios[i][0], 1);
            EXPECT_DOUBLE_EQ(ratios[i][1], third_over_first(setup, request, made_for.temperature_c,
                                                            made_for.state_of_charge_fraction));
            moved += ratios[i][1] != third_over_first(setup, request, 20, 0.5);
        }
        EXPECT_GT(moved, 0) << "another condition has other ratios";
    }
}

TEST(Recording, BothLoopsAtOnceHaveEachItsOwnMoment) {
    // Law: lines are linear in the moments; definition: B lags by a quarter period.
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"));
    const setup::SweepSetup setup = setup::sweep_setup_of(plan);
    day::DayResult day{};
    day.table = setup.table.rows;
    day.frequencies_hz = setup.frequencies_hz;
    const FieldTable fields(plan, setup, 1);
    const auto line = [&](model::loop::LoopSelection loop, double moment_a_m2, double moment_b_a_m2) {
        const SentStep step{.sweep_number = 1,
                            .step_number = 1,
                            .loop = loop,
                            .frequency_index = 0,
                            .start_s = 36000,
                            .dwell_s = 10,
                            .moment_a_m2 = moment_a_m2,
                            .moment_b_a_m2 = moment_b_a_m2,
                            .energy_wh = 0};
        return recording_of(plan, day, step, 0, fields, {1, 0, 0, 0}).lines.front().amplitude;
    };
    using model::loop::LoopSelection;
    const auto together = line(LoopSelection::both, 100, 40), a = line(LoopSelection::a, 100, 0),
               b = line(LoopSelection::b, 40, 0);
    for (std::size_t c = 0; c < together.size(); ++c)
        EXPECT_LT(std::abs(together[c] - (a[c] - std::complex<double>(0, 1) * b[c])),
                  1e-12 * (std::abs(a[c]) + std::abs(b[c])) + 1e-300)
            << c;
}

}  // namespace schedule_test
