#include <gtest/gtest.h>

#include <array>
#include <complex>
#include <string>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/reading/station_response.hpp"
#include "tests/paths.hpp"

namespace own_ground_test {

using namespace ampturn;
using namespace ampturn::plan;
using namespace ampturn::plan::file;

Plan quick() { return load_plan(test::source_path("demo/quick.toml")); }

Ground bog() {
    Ground ground = quick().earth;
    ground.resistivity_ohm_m = {30, 900};
    return ground;
}

std::vector<reading::FrequencyResponse> responses_of(const Plan& plan) {
    return reading::station_responses(plan, setup::sweep_setup_of(plan));
}

void expect_same(const reading::FrequencyResponse& a, std::size_t s, const reading::FrequencyResponse& b,
                 std::size_t t) {
    EXPECT_EQ(a.frequency_hz, b.frequency_hz);
    EXPECT_EQ(a.plane_impedance_ohm[s], b.plane_impedance_ohm[t]);
    EXPECT_EQ(a.background_crest[s].per_mains_t.e_v_per_m, b.background_crest[t].per_mains_t.e_v_per_m);
    const std::array<std::array<const reading::FieldPerMoment*, 2>, 2> loops{
        {{&a.loop_a[s], &b.loop_a[t]}, {&a.loop_b[s], &b.loop_b[t]}}};
    for (const auto& [x, y] : loops) {
        EXPECT_EQ(x->horizontal.ex_v_per_m, y->horizontal.ex_v_per_m);
        EXPECT_EQ(x->horizontal.ey_v_per_m, y->horizontal.ey_v_per_m);
        EXPECT_EQ(x->horizontal.hx_a_per_m, y->horizontal.hx_a_per_m);
        EXPECT_EQ(x->horizontal.hy_a_per_m, y->horizontal.hy_a_per_m);
        EXPECT_EQ(x->hz_a_per_m, y->hz_a_per_m);
    }
}

TEST(OwnGround, DeclaredTwiceIsTheSurveysBitByBit) {
    // Identity: a ground is what it is, whatever it is called.
    const Plan plan = quick();
    Plan named = plan;
    named.grounds = {{"once", plan.earth}, {"twice", plan.earth}};
    named.stations[0].ground_index = 0;
    named.stations[1].ground_index = 1;
    const auto a = responses_of(plan), b = responses_of(named);
    ASSERT_EQ(a.size(), 4u);
    for (std::size_t f = 0; f < a.size(); ++f)
        for (std::size_t s = 0; s < plan.stations.size(); ++s) expect_same(a[f], s, b[f], s);
}

TEST(OwnGround, TwoGroundsGiveWhatTwoPlansGive) {
    // Identity: each station as if its ground were that of a plan of its own.
    Plan both = quick();
    both.grounds = {{"bog", bog()}};
    both.stations[1].ground_index = 0;
    Plan first = quick(), second = quick();
    first.stations.pop_back();
    second.stations.erase(second.stations.begin());
    second.earth = bog();
    const auto whole = responses_of(both), near = responses_of(first), far = responses_of(second);
    ASSERT_EQ(whole.size(), 4u);
    for (std::size_t f = 0; f < whole.size(); ++f) {
        expect_same(whole[f], 0, near[f], 0);
        expect_same(whole[f], 1, far[f], 0);
        EXPECT_NE(whole[f].plane_impedance_ohm[0], whole[f].plane_impedance_ohm[1]);
    }
}

TEST(OwnGround, DipolesAreAsLongAsTheSensorsThere) {
    // Identity: a set of sensors at one station is the receiver of a plan; 1e-6, the tolerance of the fields, for points that share
    // their contours with others.
    Plan sets = quick();
    sets.sensor_sets = {{.name = "long", .dipole_m = 100, .contact_resistance_ohm = {}, .coil = {}}};
    sets.stations[0].sensors_index = 0;
    Plan all = quick();
    all.receiver.dipole_m = 100;
    const auto a = responses_of(sets), b = responses_of(all), c = responses_of(quick());
    ASSERT_EQ(a.size(), 4u);
    for (std::size_t f = 0; f < a.size(); ++f) {
        const auto ey = [f](const std::vector<reading::FrequencyResponse>& of, std::size_t s) {
            return of[f].loop_a[s].horizontal.ey_v_per_m;
        };
        EXPECT_LT(std::abs(ey(a, 0) - ey(b, 0)), 3e-6 * std::abs(ey(b, 0)));
        EXPECT_LT(std::abs(ey(a, 1) - ey(c, 1)), 3e-6 * std::abs(ey(c, 1)));
        EXPECT_GT(std::abs(ey(a, 0) - ey(c, 0)), 1e-4 * std::abs(ey(c, 0)));
    }
}

}  // namespace own_ground_test
