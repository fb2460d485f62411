#include "scheduler/reading/station_response.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"
#include "model/loop/loop.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/reading/station_dipoles.hpp"
#include "tests/paths.hpp"

namespace station_response_test {

using namespace ampturn;

// The demo turns the loops of its second site; each station's field must be that of its own site's loops.
TEST(StationResponse, IsTheFieldOfTheStationsOwnLoops) {
    plan::Plan demo = plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    demo.receiver.dipole_m = 1e-3;  // as good as a point
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

// Independent: the mean of E at 201 points along each wire, one by one.
TEST(StationResponse, ElectricDipolesAreAsLongAsTheyAre) {
    plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    plan.stations.resize(1);
    plan.receiver.dipole_m = 100;  // a third of the offset
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const double f = 3000;
    const auto whole = reading::station_responses(plan, setup.transmitter.design, setup.earth, {f}, 1,
                                                  {.tolerance_rel = 1e-9});
    plan.receiver.dipole_m = 1e-3;
    const plan::Place middle = plan.stations[0].place, site = plan.sites[0].place;
    constexpr int points = 201;
    model::ground::HorizontalFields mean{};
    for (int i = 0; i < points; ++i) {
        const double along_m = 100 * ((i + 0.5) / points - 0.5);
        for (const bool north : {true, false}) {
            const double x = middle.x_m + (north ? along_m : 0) - site.x_m,
                         y = middle.y_m + (north ? 0 : along_m) - site.y_m;
            plan.stations[0].offset_m = std::hypot(x, y);
            plan.stations[0].bearing_deg = std::atan2(y, x) * 180 / model::pi;
            const auto at = reading::station_responses(plan, setup.transmitter.design, setup.earth, {f}, 1,
                                                       {.tolerance_rel = 1e-9});
            (north ? mean.ex_v_per_m : mean.ey_v_per_m) +=
                (north ? at[0].loop_a[0].horizontal.ex_v_per_m : at[0].loop_a[0].horizontal.ey_v_per_m) /
                double(points);
        }
    }
    const model::ground::HorizontalFields& got = whole[0].loop_a[0].horizontal;
    const double size = std::max(std::abs(got.ex_v_per_m), std::abs(got.ey_v_per_m));
    EXPECT_LT(std::abs(got.ex_v_per_m - mean.ex_v_per_m), 3e-4 * size);
    EXPECT_LT(std::abs(got.ey_v_per_m - mean.ey_v_per_m), 3e-4 * size);
}

TEST(Clipping, ACarrierBeyondTheConverterLeavesNothing) {
    // Definition: 80 nT rms are 113 nT peak, into 100 nT; below half the sample rate only.
    plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"));
    const setup::SweepSetup setup = setup::sweep_setup_of(plan);
    plan.receiver.e_full_scale_v = 1000;
    plan.noise.interferers = {{.frequency_hz = 16'400, .b_nt = 80}};
    const auto clips = [&] {
        return reading::clips(plan.receiver, setup::background_crest(plan, setup.earth).with_mains(0),
                              {.frequency_hz = 1000});
    };
    EXPECT_TRUE(clips());
    plan.noise.interferers.front().b_nt = 60;
    EXPECT_FALSE(clips());
    plan.noise.interferers.push_back({.frequency_hz = 19'600, .b_nt = 20});
    EXPECT_TRUE(clips()) << "two in phase";
    for (plan::Interferer& interferer : plan.noise.interferers)
        interferer.frequency_hz = 0.6 * plan.receiver.sample_rate_hz;
    EXPECT_FALSE(clips());
}

TEST(Clipping, MainsBeyondTheConverterLeaveNothing) {
    plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"));
    plan.noise.interferers.clear();
    const setup::SweepSetup setup = setup::sweep_setup_of(plan);
    const setup::BackgroundCrest crest = setup::background_crest(plan, setup.earth);
    // Closed form: the fundamental's peak is sqrt(2) of its rms, and harmonics come on top, 1.5 to 3 times in all.
    const double fundamental = std::sqrt(2.0) / model::mu0_h_per_m;
    EXPECT_GT(crest.per_mains_t.h_a_per_m, 1.5 * fundamental);
    EXPECT_LT(crest.per_mains_t.h_a_per_m, 4 * fundamental);
    reading::ReadingInput quiet{.frequency_hz = 1000};
    EXPECT_TRUE(reading::clips(plan.receiver, crest.with_mains(400e-9), quiet))
        << "definition: 400 nT into 100 nT";
    EXPECT_FALSE(reading::clips(plan.receiver, crest.with_mains(1e-9), quiet));
    quiet.a.horizontal.hx_a_per_m = 1;
    quiet.sent_a = {.moment_a_m2_peak = 1, .dwell_s = 1};
    EXPECT_TRUE(reading::clips(plan.receiver, crest.with_mains(0), quiet))
        << "definition: the line itself, 1 A/m are 1257 nT";
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
            reading::station_responses(plan, setup),
            reading::responses_of_dipoles(plan, setup, setup.frequencies_hz,
                                          reading::dipole_fields(plan, setup, setup.frequencies_hz, 1e-6)));
    };
    EXPECT_GT(difference(near), 0.01);
    EXPECT_LT(difference(far), 1e-3);
    EXPECT_GT(difference(far), 0);
}

}  // namespace station_response_test
