#include "scheduler/plan/power_line.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "scheduler/plan/station_geometry.hpp"

namespace power_line_test {

using namespace ampturn::plan;

constexpr double rad_per_deg = std::numbers::pi / 180;

Place local(double x_m, double y_m) {
    return {.x_m = x_m, .y_m = y_m, .latitude_deg = {}, .longitude_deg = {}};
}
Place geographic(double latitude_deg, double longitude_deg) {
    return {.x_m = 0, .y_m = 0, .latitude_deg = latitude_deg, .longitude_deg = longitude_deg};
}
PowerLine line_through(std::vector<Place> points, double exponent = 1) {
    return {.name = "invented",
            .points = std::move(points),
            .mains_b_nt = 4,
            .at_distance_m = 100,
            .fall_off_exponent = exponent};
}

TEST(PowerLine, IsAsFarAsItsNearestStretch) {
    // Closed form: distance of a point to a segment in the plane, inside it, beyond its ends, and at a corner.
    const PowerLine bent = line_through({local(0, 0), local(0, 400), local(300, 800)});
    EXPECT_NEAR(distance_to_line_m(local(-70, 250), bent), 70, 1e-12);
    EXPECT_NEAR(distance_to_line_m(local(30, -40), bent), 50, 1e-12);
    EXPECT_NEAR(distance_to_line_m(local(300 + 60, 800 + 80), bent), 100, 1e-12);
    EXPECT_NEAR(distance_to_line_m(local(150 + 40, 600 - 30), bent), 50, 1e-12);
    EXPECT_NEAR(distance_to_line_m(local(-40, 430), bent), 50, 1e-12) << "the corner is nearest";
}

TEST(PowerLine, AlongAMeridianIsAsFarAsTheEquatorSays) {
    // Closed form: on the equator a degree of longitude is pi a / 180, a = 6378137 m; the equator meets a meridian at right
    // angles.
    const PowerLine meridian = line_through({geographic(-0.4, 10), geographic(0.7, 10)});
    const double degree_m = std::numbers::pi * 6378137.0 / 180;
    for (const double apart_deg : {1e-3, 0.01, 0.1})
        EXPECT_NEAR(distance_to_line_m(geographic(0, 10 + apart_deg), meridian), apart_deg * degree_m,
                    1e-6 * apart_deg * degree_m);
}

TEST(PowerLine, TheFootOnAGeodesicIsTheNearestPoint) {
    // Independent: the line walked along its geodesic in 20 001 steps, the least distance taken; steps of 3 m at 900 m make the
    // walk 1.3 mm too long at most.
    const Place from = geographic(66.10, 14.00), to = geographic(66.55, 14.90),
                station = geographic(66.31, 14.52);
    const OffsetBearing whole = offset_bearing(from, to);
    double least_m = 1e9;
    for (int i = 0; i <= 20'000; ++i)
        least_m = std::min(
            least_m,
            offset_bearing(place_at(from, {whole.offset_m * i / 20'000, whole.bearing_deg}, from), station)
                .offset_m);
    const double found_m = distance_to_line_m(station, line_through({from, to}));
    EXPECT_LE(found_m, least_m + 1e-6);
    EXPECT_NEAR(found_m, least_m, 5e-3);
}

TEST(PowerLine, FieldOfOneCurrentIsThatOfALongStraightWire) {
    // Closed form: H = I / (2 pi r) of an endless straight current, any textbook; 20 A.
    const auto b_nt = [](double r_m) {
        return 4e-7 * std::numbers::pi * 20 / (2 * std::numbers::pi * r_m) * 1e9;
    };
    PowerLine line = line_through({local(0, -1e5), local(0, 1e5)});
    line.at_distance_m = 50;
    line.mains_b_nt = b_nt(50);
    for (const double r_m : {10.0, 50.0, 230.0, 4000.0})
        EXPECT_NEAR(power_line_b_nt(line, distance_to_line_m(local(r_m, 123), line)), b_nt(r_m),
                    1e-12 * b_nt(10));
}

TEST(PowerLine, FieldOfThreeBalancedCurrentsFallsWithTheSquare) {
    // Closed form: three endless currents 120 degrees apart in phase, side by side d apart; far away the rms field is
    // sqrt(3) I d / (2 pi r^2): the sum of I_k x_k over 2 pi r^2. Terms of (d/r)^2 left out.
    const double d_m = 1, i_a = 20;
    const auto rms_b_nt = [&](double r_m) {
        double re = 0, im = 0;
        for (const int k : {-1, 0, 1}) {
            const double h = i_a / (2 * std::numbers::pi * (r_m - k * d_m));
            re += h * std::cos(120 * k * rad_per_deg);
            im += h * std::sin(120 * k * rad_per_deg);
        }
        return 400 * std::numbers::pi * std::hypot(re, im);
    };
    PowerLine line = line_through({local(0, -1e5), local(0, 1e5)}, 2);
    line.mains_b_nt = rms_b_nt(100);
    for (const double r_m : {50.0, 300.0, 2000.0})
        EXPECT_NEAR(power_line_b_nt(line, r_m), rms_b_nt(r_m), 1e-3 * rms_b_nt(r_m));
}

TEST(PowerLine, SeveralLinesAddTheirPowers) {
    // Closed form: 3 and 4 make 5.
    PowerLine north = line_through({local(100, -1e4), local(100, 1e4)}), south = north;
    north.mains_b_nt = 3;
    for (Place& point : south.points) point.x_m = -100;
    EXPECT_NEAR(power_lines_b_nt({north, south}, local(0, 0)), 5, 1e-12);
    EXPECT_EQ(power_lines_b_nt({}, local(0, 0)), 0);
}

}  // namespace power_line_test
