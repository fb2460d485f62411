#include "scheduler/plan/station_geometry.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "scheduler/plan/file/config.hpp"
#include "tests/outside_check.hpp"
#include "tests/paths.hpp"

namespace station_geometry_test {

using namespace ampturn::plan;
using namespace ampturn::plan::file;

Place geographic(double latitude_deg, double longitude_deg) {
    return {.x_m = 0, .y_m = 0, .latitude_deg = latitude_deg, .longitude_deg = longitude_deg};
}

double dms(double degrees, double minutes, double seconds) { return degrees + minutes / 60 + seconds / 3600; }

TEST(StationGeometry, PublishedLine) {
    // Published: Flinders Peak to Buninyong, the worked example of the Australian geodetic datum manual
    // (GRS80, whose ellipsoid differs from WGS84 by 0.1 mm in the semi-minor axis); values from memory.
    const Place flinders = geographic(-dms(37, 57, 3.72030), dms(144, 25, 29.52440));
    const Place buninyong = geographic(-dms(37, 39, 10.15610), dms(143, 55, 35.38390));
    const OffsetBearing there = offset_bearing(flinders, buninyong);
    const char* source = "worked example of the Australian geodetic datum manual, from memory";
    ampturn::test::OutsideCheck metres("length of a geodesic", source, "m"),
        seconds("azimuths of a geodesic", source, "seconds of arc");
    metres.absolute(there.offset_m, 54972.271, 1e-3, "Flinders Peak to Buninyong");
    seconds.absolute(there.bearing_deg * 3600, dms(306, 52, 5.37) * 3600, 0.02, "there");
    const OffsetBearing back = offset_bearing(buninyong, flinders);
    EXPECT_NEAR(back.offset_m, there.offset_m, 1e-6);
    seconds.absolute(back.bearing_deg * 3600, dms(127, 10, 25.07) * 3600, 0.02, "back");
}

TEST(StationGeometry, EquatorAndMeridian) {
    // Closed form: on the equator a degree of longitude is pi a / 180, a = 6378137 m.
    const OffsetBearing east = offset_bearing(geographic(0, 10), geographic(0, 10.01));
    EXPECT_NEAR(east.offset_m, std::numbers::pi * 6378137.0 / 180 * 0.01, 1e-6);
    EXPECT_NEAR(east.bearing_deg, 90, 1e-9);
    // Closed form: meridian radius a (1 - e2) / (1 - e2 sin2 lat)^1.5, 1e-7 over 1 km.
    const double e2 = 0.00669437999014;
    const double sine = std::sin(61.5 * std::numbers::pi / 180);
    const double radius_m = 6378137.0 * (1 - e2) / std::pow(1 - e2 * sine * sine, 1.5);
    const OffsetBearing north = offset_bearing(geographic(61.495, 14), geographic(61.505, 14));
    EXPECT_NEAR(north.offset_m, radius_m * 0.01 * std::numbers::pi / 180, 1e-4);
    EXPECT_NEAR(std::remainder(north.bearing_deg, 360), 0, 1e-9);
}

TEST(StationGeometry, LocalPlane) {
    // Closed form: 3-4-5 triangle; x north, y east, bearing clockwise from north.
    const Place from{.x_m = 10, .y_m = 20, .latitude_deg = {}, .longitude_deg = {}};
    const Place to{.x_m = 10 - 300, .y_m = 20 - 400, .latitude_deg = {}, .longitude_deg = {}};
    const OffsetBearing way = offset_bearing(from, to);
    EXPECT_DOUBLE_EQ(way.offset_m, 500);
    EXPECT_NEAR(way.bearing_deg, 180 + std::atan2(400, 300) * 180 / std::numbers::pi, 1e-12);
    const Place there = place_at(from, way, from);
    EXPECT_NEAR(there.x_m, to.x_m, 1e-9);
    EXPECT_NEAR(there.y_m, to.y_m, 1e-9);
    EXPECT_EQ(offset_bearing(from, from).offset_m, 0);
}

TEST(StationGeometry, ThereAndBackOverTheGlobe) {
    // Identity: there and back.
    const Place origin = geographic(61.5, 14);
    for (double latitude_deg = -85; latitude_deg <= 85; latitude_deg += 17)
        for (double bearing_deg = 0; bearing_deg < 360; bearing_deg += 31)
            for (const double offset_m : {1.0, 350.0, 19'999.0}) {
                const Place from = geographic(latitude_deg, 179.999);  // crosses the date line
                const OffsetBearing way =
                    offset_bearing(from, place_at(from, {offset_m, bearing_deg}, origin));
                EXPECT_NEAR(way.offset_m, offset_m, 1e-5);  // what geodesic.hpp promises
                EXPECT_NEAR(
                    std::remainder(way.bearing_deg - bearing_deg, 360) * std::numbers::pi / 180 * offset_m, 0,
                    1e-5);
            }
}

TEST(StationGeometry, MapPlaneHoldsDistances) {
    // Identity: the map plane against the geodesic.
    const Plan plan = load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    for (const Station& station : plan.stations) {
        const Place& site = plan.sites[static_cast<std::size_t>(station.site_index)].place;
        const double plane_m = std::hypot(station.place.x_m - site.x_m, station.place.y_m - site.y_m);
        EXPECT_NEAR(plane_m, station.offset_m, 1e-5 * station.offset_m) << station.name;
    }
}

TEST(StationGeometry, OffsetAndBearingAreKeptAsGiven) {
    // Closed form: x = r cos(bearing).
    const Plan plan = load_plan(ampturn::test::source_path("demo/quick.toml"));
    EXPECT_EQ(plan.stations[0].offset_m, 120);
    EXPECT_EQ(plan.stations[0].bearing_deg, 40);
    EXPECT_NEAR(plan.stations[0].place.x_m, 120 * std::cos(40 * std::numbers::pi / 180), 1e-12);
}

}  // namespace station_geometry_test
