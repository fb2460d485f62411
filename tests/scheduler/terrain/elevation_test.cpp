#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <numbers>

#include "scheduler/base/input_error.hpp"
#include "scheduler/terrain/elevation_file.hpp"
#include "scheduler/terrain/walk.hpp"

namespace ampturn::terrain {
namespace elevation_test {

using testing::HasSubstr;

std::string header(int columns, int rows) {
    return "ncols " + std::to_string(columns) + "\nnrows " + std::to_string(rows) +
           "\nxllcorner 0\nyllcorner 0\ncellsize 10\nNODATA_value -9999\n";
}

template <class Act>
std::string complaint(const Act& act) {
    try {
        (void)act();
    } catch (const base::InputError& error) {
        return error.what();
    }
    return "nothing";
}
std::string complaint_of(const std::string& text, GridUnit unit = GridUnit::metre) {
    return complaint([&] { return parse_ascii_grid(text, "dem.asc", unit); });
}

// Closed form: bilinear interpolation gives a plane back; the first row of the file is the northernmost.
TEST(ElevationGrid, GivesAPlaneBack) {
    std::string text = header(5, 4);
    for (int row = 0; row < 4; ++row)
        for (int column = 0; column < 5; ++column)
            text += std::to_string(100 + 2 * (column * 10 + 5) + 3 * (35 - row * 10)) +
                    (column == 4 ? "\n" : " ");
    const ElevationGrid grid = parse_ascii_grid(text, "dem.asc", GridUnit::metre);
    EXPECT_NEAR(grid.at({17, 22}).value(), 100 + 2 * 17 + 3 * 22, 1e-4) << "heights are kept as float";
    EXPECT_NEAR(grid.slope_deg({22, 18}).value(), std::atan(std::hypot(2, 3)) * 180 / std::numbers::pi, 1e-4);
    EXPECT_FALSE(grid.at({-1, 5}));
    EXPECT_FALSE(grid.at({20, 41}));
    EXPECT_TRUE(grid.at({50, 40})) << "the outer edge belongs to it";
    EXPECT_FALSE(grid.slope_deg({1, 20})) << "no cell to the west";
}

// Published, from memory: a degree of latitude is 111.32 km along the equator, 110.574 km up the meridian there.
TEST(ElevationGrid, KnowsItsStepsInDegrees) {
    ElevationGrid grid;
    grid.unit = GridUnit::degree;
    grid.step_east = grid.step_north = 1;
    EXPECT_NEAR(grid.step_m(0).east, 111'320, 1);
    EXPECT_NEAR(grid.step_m(0).north, 110'574, 1);
}

TEST(ElevationGrid, HolesGiveNoHeight) {
    const ElevationGrid grid = parse_ascii_grid(header(3, 1) + "1 -9999 3\n", "dem.asc", GridUnit::metre);
    EXPECT_TRUE(grid.at({2, 5}));
    EXPECT_FALSE(grid.at({14, 5}));
    EXPECT_TRUE(grid.at({28, 5}));
}

TEST(ElevationGrid, RefusesWhatIsNoGrid) {
    EXPECT_THAT(complaint_of(header(3, 2) + "1 2 3\n4 5"),
                HasSubstr("the end of the file after 5 heights, allowed 6 heights, 2 rows of 3"));
    EXPECT_THAT(complaint_of(header(3, 1) + "1 2 3 4\n"), HasSubstr("dem.asc:7:7: found more heights"));
    EXPECT_THAT(complaint_of(header(3, 1) + "1 x 3\n"), HasSubstr("dem.asc:7:3: found \"x\""));
    EXPECT_THAT(complaint_of("ncols 3\nnrows 1\n1 2 3"), HasSubstr("cellsize"));
    EXPECT_THAT(complaint_of("ncols 2.5\nnrows 1\ncellsize 1\nxllcorner 0\nyllcorner 0\n1"),
                HasSubstr("whole number"));
    EXPECT_THAT(complaint_of("hello there"), HasSubstr("dem.asc:1:1: found \"hello\""));
    EXPECT_THAT(complaint_of(""), HasSubstr("ncols"));
    EXPECT_THAT(complaint_of("ncols 1\nnrows 1\nxllcorner 500000\nyllcorner 6800000\ncellsize 10\n7",
                             GridUnit::degree),
                HasSubstr("degrees of WGS84"));
}

TEST(ElevationFile, GeoTiffTakesGdal) {
    const std::string path = testing::TempDir() + "/dem.tif", folder = testing::TempDir() + "/gdal";
    std::ofstream(path, std::ios::binary).write("II*\0rest", 8);
    const std::string old = std::getenv("PATH");
    const auto read = [&] { return read_elevation(path, GridUnit::metre); };
    setenv("PATH", "/nowhere", 1);
    EXPECT_THAT(complaint(read), HasSubstr("no program gdal_translate"));
    // What the program is asked for, by a stand-in for it.
    std::filesystem::create_directories(folder);
    const auto stand_in = [&](const std::string& script) {
        std::ofstream(folder + "/gdal_translate") << "#!/bin/sh\n" << script;
        std::filesystem::permissions(folder + "/gdal_translate", std::filesystem::perms::owner_all);
    };
    setenv("PATH", (folder + ":" + old).c_str(), 1);
    stand_in("echo 'not a TIFF' >&2\nexit 1\n");
    EXPECT_THAT(complaint(read), HasSubstr("refuses: not a TIFF"));
    stand_in("test \"$5 $6\" = \"AAIGrid " + path + "\" || exit 3\nprintf '" +
             "ncols 1\\nnrows 1\\nxllcorner 0\\nyllcorner 0\\ncellsize 1\\n12\\n' >\"$7\"\n");
    EXPECT_EQ(complaint(read), "nothing");
    EXPECT_EQ(read().at({0.5, 0.5}), 12.0);
    setenv("PATH", old.c_str(), 1);
}

// Published, from memory: Tobler (1993), 6 exp(-3.5 |S + 0.05|) km/h; Naismith (1892), 3 miles or 2000 feet an hour.
TEST(Walk, FollowsTheRules) {
    const auto tobler_km_h = [](double slope) { return 6 * std::exp(-3.5 * std::abs(slope + 0.05)); };
    for (const double slope : {0.0, 0.03, 0.2, -0.2}) {
        const double there_and_back = (1 / tobler_km_h(slope) + 1 / tobler_km_h(-slope)) / 2;
        EXPECT_NEAR(level_metres(SlopeRule::tobler, 100, 100 * slope), 100 * there_and_back * tobler_km_h(0),
                    1e-9);
    }
    const double feet_m = 0.3048, hour_of_level_m = 3 * 5280 * feet_m;
    EXPECT_NEAR(level_metres(SlopeRule::naismith, 1000, 2000 * feet_m), 1000 + hour_of_level_m / 2, 1e-9);
    EXPECT_EQ(level_metres(SlopeRule::naismith, 1000, -100), level_metres(SlopeRule::naismith, 1000, 100));
}

Spot spot(double north_m, double east_m) { return {north_m, east_m, {east_m, north_m}}; }

// Closed form: an even slope costs as one piece, a hole in it changes nothing; a track twice as fast halves its length.
TEST(Walk, AddsUpPiecesAndTakesTracks) {
    std::string text = header(50, 1);
    for (int i = 0; i < 50; ++i) text += (i == 20 ? std::string("-9999") : std::to_string(i)) + " ";
    const auto grid =
        std::make_shared<const ElevationGrid>(parse_ascii_grid(text, "dem.asc", GridUnit::metre));
    const Walk walk(grid, SlopeRule::tobler, {}, 1);
    EXPECT_NEAR(walk.level_m(spot(5, 15), spot(5, 415)), level_metres(SlopeRule::tobler, 400, 40), 1e-3);
    EXPECT_DOUBLE_EQ(walk.level_m(spot(5, 15), spot(5, 415)), walk.level_m(spot(5, 415), spot(5, 15)));
    const Profile profile = profile_between(*grid, spot(5, 15), spot(5, 415));
    EXPECT_NEAR(profile.relief_m(), 40, 1e-3);
    EXPECT_GT(profile.unknown_m, 0);

    const Walk tracked(nullptr, SlopeRule::tobler, {{spot(0, 0), spot(0, 500), spot(0, 1000)}}, 2);
    EXPECT_DOUBLE_EQ(tracked.level_m(spot(30, 100), spot(20, 900)), 30 + 800 / 2.0 + 20);
    EXPECT_DOUBLE_EQ(tracked.level_m(spot(3000, 100), spot(3000, 900)), 800) << "too far off to help";
    EXPECT_EQ(tracked.level_m(spot(7, 7), spot(7, 7)), 0);
}

}  // namespace elevation_test
}  // namespace ampturn::terrain
