#include "scheduler/rehearse/station/schedule.hpp"

#include <gtest/gtest.h>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace {

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

}  // namespace
