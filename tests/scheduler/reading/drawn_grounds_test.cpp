#include "scheduler/reading/drawn_grounds.hpp"

#include <gtest/gtest.h>

#include <cmath>
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
    RecordProperty("terms", static_cast<int>(grounds.terms()));
    const run::CounterRandom random(5, 5);
    const std::size_t layers = reading::most_layers(plan);
    int by_polynomials = 0;
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
        by_polynomials += grounds.way_to(decades) == reading::DrawnGrounds::Way::polynomials;
        EXPECT_LT(reading::largest_difference_rel(reading::station_responses(drawn, drawn_setup),
                                                  grounds.responses(drawn, drawn_setup, decades)),
                  3e-3)
            << "draw " << draw;
    }
    EXPECT_GE(by_polynomials, 38);
}

TEST(DrawnGrounds, DoNotDependOnThreads) {
    const plan::Plan plan = demo();
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const std::vector<double> decades(reading::most_layers(plan), 0.07);
    const auto one = reading::DrawnGrounds::make(plan, setup, 1e-3, 1).responses(plan, setup, decades);
    const auto four = reading::DrawnGrounds::make(plan, setup, 1e-3, 4).responses(plan, setup, decades);
    EXPECT_EQ(reading::largest_difference_rel(one, four), 0);
}

// Independent: the field engine, with the loops as large as they are.
TEST(DrawnGrounds, GoTheEnginesWayWherePolynomialsEnd) {
    const plan::Plan plan = demo();
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const auto grounds = reading::DrawnGrounds::make(plan, setup, 1e-3, 2);
    std::vector<double> decades(reading::most_layers(plan), 0);
    EXPECT_EQ(grounds.way_to(decades), reading::DrawnGrounds::Way::polynomials);
    decades.back() = 3.3 * plan.uncertainty.resistivity_decades;
    EXPECT_EQ(grounds.way_to(decades), reading::DrawnGrounds::Way::dipoles);
    plan::Plan drawn = plan;
    reading::set_off(drawn, decades);
    const setup::SurveySetup drawn_setup = setup::survey_setup_of(drawn, setup);
    EXPECT_LT(reading::largest_difference_rel(reading::station_responses(drawn, drawn_setup),
                                              grounds.responses(drawn, drawn_setup, decades)),
              2e-3);
}

// A station beside the loop sees its size; a layer at the end of what the engine takes cannot be drawn both ways.
TEST(DrawnGrounds, TakeThePlainWayWhereTheQuickWouldNotHold) {
    plan::Plan near = demo();
    near.stations.resize(1);
    near.stations[0].offset_m = 25;
    const std::vector<double> decades(reading::most_layers(near), 0);
    const auto near_grounds = reading::DrawnGrounds::make(near, setup::survey_setup_of(near), 1e-3, 1);
    EXPECT_EQ(near_grounds.way_to(decades), reading::DrawnGrounds::Way::loops);
    plan::Plan hard = demo();
    hard.earth.resistivity_ohm_m.back() = 0.9e6;
    const auto hard_grounds = reading::DrawnGrounds::make(hard, setup::survey_setup_of(hard), 1e-3, 1);
    EXPECT_EQ(hard_grounds.way_to(decades), reading::DrawnGrounds::Way::dipoles);
}

}  // namespace drawn_grounds_test
