#include <gtest/gtest.h>

#include <cmath>
#include <complex>

#include "model/ground/plane_wave_noise.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/reading/place_reading.hpp"
#include "scheduler/reading/reading_quality.hpp"
#include "scheduler/reading/tensor_reading.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "tests/paths.hpp"

// A natural field that comes from one side more than from others.

namespace ampturn::reading {
namespace noise_direction_test {

plan::Plan quick_plan(const std::vector<plan::file::Setting>& settings) {
    return plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

// Closed form: power along an azimuth is shared as the squares of cosine and sine.
TEST(NoiseDirection, SharesPowerBetweenTheAxes) {
    const auto noise = [](const char* azimuth, const char* along) {
        const plan::Plan plan =
            quick_plan({{"noise.natural_azimuth_deg", azimuth}, {"noise.natural_along_fraction", along}});
        return setup::noise_at_station(plan, plan.stations[0], 12, 1000, 3);
    };
    const model::receiver::NoiseAt north = noise("0", "1"), east = noise("90", "1"),
                                   half = noise("30", "0.8"), none = noise("30", "0.5");
    EXPECT_DOUBLE_EQ(north.natural_north, 2);
    EXPECT_DOUBLE_EQ(north.natural_east, 0);
    EXPECT_NEAR(east.natural_east, 2, 1e-12);
    EXPECT_NEAR(half.natural_north, 2 * (0.8 * 0.75 + 0.2 * 0.25), 1e-12);
    EXPECT_NEAR(none.natural_north, 1, 1e-12);
    EXPECT_NEAR(half.h_north() + half.h_east(), 2 * half.h.total(), 1e-12 * half.h.total());
    // E stands across H.
    EXPECT_NEAR(north.e_east() - north.e_north(), 2 * north.e.natural, 1e-12 * north.e.total());
}

TEST(NoiseDirection, AStationHasItsOwn) {
    // Identity: the station's own azimuth does what the survey's would.
    const plan::Plan own = quick_plan({{"station[1].natural_azimuth_deg", "20"}}),
                     survey = quick_plan({{"noise.natural_azimuth_deg", "20"}});
    const auto at = [](const plan::Plan& plan, std::size_t s) {
        return setup::noise_at_station(plan, plan.stations[s], 12, 1000, 3).natural_north;
    };
    EXPECT_DOUBLE_EQ(at(own, 0), at(survey, 0));
    EXPECT_EQ(at(own, 1), 1);
}

ReadingInput input_with(double natural_north) {
    using C = std::complex<double>;
    ReadingInput input{.frequency_hz = 1000,
                       .a = {},
                       .b = {},
                       .sent_a = {.moment_a_m2_peak = 900, .dwell_s = 10},
                       .sent_b = {.moment_a_m2_peak = 700, .dwell_s = 20},
                       .noise = {.h = {3e-16, 1e-16, 1e-16}, .e = {3e-15, 1e-15, 2e-15}},
                       .plane_impedance_ohm = C(3, 3)};
    input.a.horizontal = {C(1e-9, 2e-9), C(-6e-9, -5e-9), C(2e-9, 1e-10), C(3e-10, 4e-10)};
    input.b.horizontal = {C(5e-9, 6e-9), C(1e-9, 3e-10), C(-2e-10, 1e-10), C(1.8e-9, -3e-10)};
    input.noise.natural_north = natural_north;
    input.noise.natural_east = 2 - natural_north;
    return input;
}

// Identity: the search's quick reading and the full one judge a direction alike.
TEST(NoiseDirection, QuickAndFullReadingsAgree) {
    plan::Targets targets;
    targets.elements = {plan::Element::xx, plan::Element::xy, plan::Element::yx, plan::Element::yy};
    double before = -1;
    for (const double north : {0.0, 0.6, 1.0, 2.0}) {
        const ReadingInput input = input_with(north);
        const PlaceTargets of(targets, input.plane_impedance_ohm);
        const double quick = PlaceReading(input, of).error_ratio(input.noise);
        EXPECT_NEAR(quick, error_ratio(read_tensor(input), targets), 1e-9 * quick) << north;
        EXPECT_NE(quick, before);
        before = quick;
    }
}

// Closed form: where the source's impedance is the plane wave's, what remains of the wave is |Z_xx|^2 v_nx and
// |Z_yy|^2 v_ny, here none.
TEST(NoiseDirection, APlaneWaveCancelsInTheFarFieldFromAnySide) {
    using C = std::complex<double>;
    const C z(2, 2);
    const auto far = [&](C hx, C hy) { return model::ground::HorizontalFields{z * hy, -z * hx, hx, hy}; };
    for (const double north : {0.0, 1.0, 2.0}) {
        const auto estimate = model::ground::estimate_tensor_in_plane_noise(
            far(1, 0.1), far(0.2, 1), {}, {}, {0.01, 0.01, north, 2 - north}, z);
        EXPECT_NEAR(estimate.variance.xy, 0, 1e-20);
        EXPECT_NEAR(estimate.variance.yx, 0, 1e-20);
    }
}

}  // namespace noise_direction_test
}  // namespace ampturn::reading
