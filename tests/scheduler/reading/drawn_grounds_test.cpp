#include "scheduler/reading/drawn_grounds.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <optional>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/run/counter_random.hpp"
#include "tests/paths.hpp"

namespace drawn_grounds_test {

using namespace ampturn;

plan::Plan demo() { return plan::file::load_plan(test::source_path("demo/vesslarook.toml")); }

// Independent: the field engine, ground by ground, with the loops as large as they are.
TEST(DrawnGrounds, AreTheFieldsOfTheEngine) {
    const plan::Plan plan = demo();
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const auto grounds = reading::DrawnGrounds::make(plan, setup, 1e-3, 2);
    ASSERT_TRUE(grounds);
    RecordProperty("terms", static_cast<int>(grounds->terms()));
    const run::CounterRandom random(5, 5);
    const std::size_t layers = reading::most_layers(plan);
    int done = 0;
    for (std::uint64_t draw = 0; draw < 40; ++draw) {
        std::vector<double> decades;
        for (std::size_t layer = 0; layer < layers; ++layer)
            decades.push_back(plan.uncertainty.resistivity_decades * random.normal(draw * layers + layer));
        plan::Plan drawn = plan;
        reading::set_off(drawn, decades);
        drawn.loop_a.azimuth_deg += 3;
        setup::SurveySetup drawn_setup = setup::survey_setup_of(drawn, setup);
        drawn_setup.transmitter.design.loop_a.tilt_deg = 4;
        drawn_setup.transmitter.design.loop_b->tilt_deg = -2;
        const auto got = grounds->responses(drawn, drawn_setup, decades);
        if (!got) continue;
        ++done;
        EXPECT_LT(reading::largest_difference_rel(reading::station_responses(drawn, drawn_setup), *got), 3e-3)
            << "draw " << draw;
    }
    EXPECT_GE(done, 38);
}

TEST(DrawnGrounds, DoNotDependOnThreads) {
    const plan::Plan plan = demo();
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const std::vector<double> decades(reading::most_layers(plan), 0.07);
    const auto one = reading::DrawnGrounds::make(plan, setup, 1e-3, 1)->responses(plan, setup, decades);
    const auto four = reading::DrawnGrounds::make(plan, setup, 1e-3, 4)->responses(plan, setup, decades);
    EXPECT_EQ(reading::largest_difference_rel(*one, *four), 0);
}

TEST(DrawnGrounds, LeaveOutWhatIsTooFarOff) {
    const plan::Plan plan = demo();
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const auto grounds = reading::DrawnGrounds::make(plan, setup, 1e-3, 2);
    std::vector<double> decades(reading::most_layers(plan), 0);
    EXPECT_TRUE(grounds->responses(plan, setup, decades));
    decades.back() = 3.3 * plan.uncertainty.resistivity_decades;
    EXPECT_FALSE(grounds->responses(plan, setup, decades));
}

// A station beside the loop sees its size; a layer at the end of what the engine takes cannot be drawn both ways.
TEST(DrawnGrounds, AreNotMadeWhereTheyWouldNotHold) {
    plan::Plan near = demo();
    near.stations.resize(1);
    near.stations[0].offset_m = 25;
    EXPECT_FALSE(reading::DrawnGrounds::make(near, setup::survey_setup_of(near), 1e-3, 1));
    plan::Plan hard = demo();
    hard.earth.resistivity_ohm_m.back() = 0.9e6;
    EXPECT_FALSE(reading::DrawnGrounds::make(hard, setup::survey_setup_of(hard), 1e-3, 1));
}

}  // namespace drawn_grounds_test
