#include "scheduler/reading/station_response.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"
#include "model/loop/loop.hpp"
#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn;

// The demo turns the loops of its second site; each station's field must be that of its own site's loops.
TEST(StationResponse, IsTheFieldOfTheStationsOwnLoops) {
    const plan::Plan demo = plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    const setup::SurveySetup setup = setup::survey_setup_of(demo);
    const model::ground::LayeredEarth& earth = setup.earth;
    const model::transmitter::TransmitterDesign& transmitter = setup.transmitter.design;
    const double frequency_hz = 3000;
    const auto responses =
        reading::station_responses(demo, transmitter, earth, {frequency_hz}, 1, {.tolerance_rel = 1e-9});
    for (const std::size_t s : {std::size_t{0}, std::size_t{5}, std::size_t{6}, std::size_t{11}}) {
        const plan::Station& station = demo.stations[s];
        const double bearing = station.bearing_deg * model::pi / 180;
        const model::fields::Receiver receiver{station.offset_m * std::cos(bearing),
                                               station.offset_m * std::sin(bearing)};
        for (const model::loop::LoopSelection side :
             {model::loop::LoopSelection::a, model::loop::LoopSelection::b}) {
            model::loop::LoopDesign design =
                side == model::loop::LoopSelection::a ? transmitter.loop_a : *transmitter.loop_b;
            design.normal_azimuth_deg = demo.loop_azimuth_deg(side, station.site_index);
            model::fields::Loop loop;
            for (const model::loop::LoopPoint& p : model::loop::placed_vertices(design))
                loop.vertices_xyz_m.push_back({p.x_m, p.y_m, p.z_m});
            loop.current_a = 1 / design.outline.area_m2();
            const model::fields::Fields direct =
                model::fields::field(earth, frequency_hz, loop, receiver, {.tolerance_rel = 1e-9}).fields;
            const reading::FieldPerMoment& got =
                (side == model::loop::LoopSelection::a ? responses[0].loop_a : responses[0].loop_b)[s];
            const double e = std::max(std::abs(direct.ex_v_per_m), std::abs(direct.ey_v_per_m));
            const double h = std::max(std::abs(direct.hx_a_per_m), std::abs(direct.hy_a_per_m));
            EXPECT_LT(std::abs(got.horizontal.ex_v_per_m - direct.ex_v_per_m), 1e-8 * e) << station.name;
            EXPECT_LT(std::abs(got.horizontal.ey_v_per_m - direct.ey_v_per_m), 1e-8 * e) << station.name;
            EXPECT_LT(std::abs(got.horizontal.hx_a_per_m - direct.hx_a_per_m), 1e-8 * h) << station.name;
            EXPECT_LT(std::abs(got.horizontal.hy_a_per_m - direct.hy_a_per_m), 1e-8 * h) << station.name;
            EXPECT_LT(std::abs(got.hz_a_per_m - direct.hz_a_per_m), 1e-8 * h) << station.name;
        }
    }
}

// Far from a loop a point dipole does; near it does not: the corrections go with (size / offset)^2.
TEST(StationResponse, DipolesForLoopsAreAsGoodAsTheOffsetIsLarge) {
    plan::Plan near = plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    near.stations.resize(1);
    plan::Plan far = near;
    near.stations[0].offset_m = 25;
    far.stations[0].offset_m = 500;
    const setup::SurveySetup setup = setup::survey_setup_of(near);
    const auto difference = [&](const plan::Plan& plan) {
        return reading::largest_difference_rel(
            reading::station_responses(plan, setup.transmitter.design, setup.earth, {2000}),
            reading::station_responses(plan, setup.transmitter.design, setup.earth, {2000}, 1,
                                       {.loops_as_dipoles = true}));
    };
    EXPECT_GT(difference(near), 0.01);
    EXPECT_LT(difference(far), 1e-3);
    EXPECT_GT(difference(far), 0);
}

}  // namespace
