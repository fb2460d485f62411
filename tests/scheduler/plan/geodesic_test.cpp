#include "scheduler/plan/geodesic.hpp"

#include <gtest/gtest.h>

#include <GeographicLib/Geodesic.hpp>
#include <cmath>
#include <random>

#include "tests/outside_check.hpp"

namespace geodesic_test {

using namespace ampturn::plan;

double uniform(std::mt19937_64& random, double low, double high) {
    return low + (high - low) * static_cast<double>(random() >> 11) * 0x1p-53;
}

/// Of all lengths from 10^low to 10^high metres alike, from anywhere but the last 100 m at the poles.
struct Line {
    LatitudeLongitude from;
    DistanceAzimuth way;
};
Line drawn(std::mt19937_64& random, double low, double high) {
    const LatitudeLongitude from{uniform(random, -89.999, 89.999), uniform(random, -180, 180)};
    return {from, {std::pow(10, uniform(random, low, high)), uniform(random, -180, 180)}};
}

TEST(Geodesic, AgreesWithAnotherLibrary) {
    // Independent: GeographicLib 2.1, whose geodesics are good to 15 nm.
    ampturn::test::OutsideCheck metres("ends of geodesics of 1 m to 1000 km",
                                       "GeographicLib (Debian package)", "m");
    const GeographicLib::Geodesic& other = GeographicLib::Geodesic::WGS84();
    std::mt19937_64 random(11);
    for (int i = 0; i < 3000; ++i) {
        const Line line = drawn(random, 0, 6);
        LatitudeLongitude end{};
        other.Direct(line.from.latitude_deg, line.from.longitude_deg, line.way.azimuth_deg,
                     line.way.distance_m, end.latitude_deg, end.longitude_deg);
        double apart_m = 0;
        const LatitudeLongitude ours = geodesic_end(line.from, line.way);
        other.Inverse(end.latitude_deg, end.longitude_deg, ours.latitude_deg, ours.longitude_deg, apart_m);
        metres.absolute(apart_m, 0, 1e-5, "there");
        const DistanceAzimuth way = geodesic_between(line.from, end);
        double distance_m = 0, azimuth_deg = 0, azimuth_there_deg = 0;
        other.Inverse(line.from.latitude_deg, line.from.longitude_deg, end.latitude_deg, end.longitude_deg,
                      distance_m, azimuth_deg, azimuth_there_deg);
        metres.absolute(way.distance_m, distance_m, 1e-5, "length");
        const double across_m =
            distance_m * std::remainder(way.azimuth_deg - azimuth_deg, 360) * 3.14159265358979 / 180;
        metres.absolute(across_m, 0, 2e-5, "azimuth, at the end");
    }
}

TEST(Geodesic, NothingIsNearerThanTheFoot) {
    // Definition: the nearest of 2001 points of the line, to what their spacing can hide; lines of 10 m to 100 km, 100 m to 50 km off.
    std::mt19937_64 random(12);
    for (int i = 0; i < 40; ++i) {
        const Line line = drawn(random, 1, 5);
        const LatitudeLongitude to = geodesic_end(line.from, line.way);
        const LatitudeLongitude off = geodesic_end(
            geodesic_end(line.from, {uniform(random, 0, line.way.distance_m), line.way.azimuth_deg}),
            {std::pow(10, uniform(random, 2, 4.7)), uniform(random, -180, 180)});
        const double found_m = distance_to_geodesic_m(off, line.from, to);
        double least_m = 1e9;
        for (int k = 0; k <= 2000; ++k)
            least_m = std::fmin(least_m,
                                geodesic_between(off, geodesic_end(line.from, {line.way.distance_m * k / 2000,
                                                                               line.way.azimuth_deg}))
                                    .distance_m);
        const double half_step_m = line.way.distance_m / 4000;
        EXPECT_LE(found_m, least_m + 1e-5) << i;
        EXPECT_GE(found_m, least_m - half_step_m * half_step_m / found_m - 1e-5) << i;
    }
}

}  // namespace geodesic_test
