#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "tests/paths.hpp"
#include "tests/run_program.hpp"

// Areas, heights and sets of sites through the real program: what is wrong with a file is said in one line with exit code 2,
// naming file and place, and no new plan is written; what is right gives a plan that reads back.

namespace site_search_command_test {

using ampturn::test::ProgramResult;
using ampturn::test::read_whole_file;
using ampturn::test::run_program;
using ampturn::test::ScratchDirectory;
using testing::HasSubstr;

const std::string program = ampturn::test::program_path("ampturn");

std::string area(const std::string& ring) {
    return R"({"type":"Feature","properties":{"name":"bog"},"geometry":{"type":"Polygon","coordinates":[)" +
           ring + "]}}";
}
const std::string between_masts =
    area("[[14.02,61.50],[14.04,61.50],[14.04,61.52],[14.02,61.52],[14.02,61.50]]");

/// Heights in degrees around the demo; none in the columns from `hole_from` to `hole_to`, and only `rows` of 40.
std::string heights(int hole_from = 0, int hole_to = 0, int rows = 40) {
    std::string text = "ncols 60\nnrows 40\nxllcorner 14.00\nyllcorner 61.49\ncellsize 0.001\n";
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < 60; ++column)
            text += column >= hole_from && column < hole_to ? "-9999 " : std::to_string(400 + column) + " ";
    return text;
}

/// The demo, with the files beside it.
class Folder {
  public:
    Folder(const std::string& name, const std::string& content) {
        folder_.write("plan.toml", read_whole_file(ampturn::test::source_path("demo/vesslarook.toml")));
        folder_.write(name, content);
    }
    ProgramResult search(std::vector<std::string> more) const {
        more.insert(more.begin(), {"reach", folder_.file("plan.toml"), "--grid", "400", "--at-most", "2",
                                   "--set", "sweep.frequencies_hz=[2825, 8525]"});
        return run_program(program, more);
    }
    std::string file(const std::string& name) const { return folder_.file(name); }

  private:
    ScratchDirectory folder_;
};

struct Refused {
    std::string key, name, content, says;
};

void expect_refused(const Refused& refused) {
    const Folder folder(refused.name, refused.content);
    const ProgramResult result = folder.search(
        {"--new-plan", folder.file("found.toml"), "--set", refused.key + "=\"" + refused.name + "\""});
    EXPECT_EQ(result.exit_code, 2) << refused.says << result.out << result.err;
    EXPECT_EQ(result.out, "") << refused.says;
    EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
    EXPECT_THAT(result.err, HasSubstr(refused.says));
    EXPECT_FALSE(std::filesystem::exists(folder.file("found.toml"))) << refused.says;
}

TEST(SiteSearchCommand, RefusesAreasThatWillNotDo) {
    const std::string key = "areas.exclusion_geojson", file = "areas.geojson";
    for (const Refused& refused : std::vector<Refused>{
             {key, file, area("[[14.04,61.50],[14.05,61.50],[14.05,61.51],[14.04,61.51],[14.04,61.50]]"),
              "site[2]: found \"East mast\" inside the area \"bog\""},
             {key, file, area("[[14.02,61.50],[14.04,61.50],[14.04,61.52],[14.02,61.52]]"),
              "allowed a closed ring"},
             {key, file, area("[[14.02,61.50],[14.04,61.52],[14.04,61.50],[14.02,61.52],[14.02,61.50]]"),
              "geometry.coordinates[1]: found a ring that crosses"},
             {key, file, "{\"type\": ", "areas.geojson:1"},
             {key, file, R"({"type":"Point","coordinates":[14,61]})", "\"Polygon\""},
             {"areas.tracks_geojson", file, between_masts, "\"LineString\""}})
        expect_refused(refused);
    const Folder folder("other.geojson", between_masts);
    const ProgramResult absent = folder.search({"--set", key + "=\"" + file + "\""});
    EXPECT_EQ(absent.exit_code, 2);
    EXPECT_THAT(absent.err,
                HasSubstr("areas.exclusion_geojson: found \"areas.geojson\", which is not there"));
}

TEST(SiteSearchCommand, RefusesHeightsThatWillNotDo) {
    const std::string key = "terrain.elevation_grid";
    for (const Refused& refused : std::vector<Refused>{
             {key, "heights.asc", heights(0, 0, 39), "the end of the file after 2340 heights, allowed 2400"},
             {key, "heights.asc", heights(44, 48), "site[2]: found \"East mast\", where"},
             {key, "heights.asc", heights().substr(0, 60), "heights.asc:"},
             {key, "heights.asc", "", "ncols"}})
        expect_refused(refused);
    const ProgramResult slope = Folder("none", "").search({"--set", "terrain.site_slope_max_deg=5"});
    EXPECT_EQ(slope.exit_code, 2);
    EXPECT_THAT(slope.err, HasSubstr("terrain.site_slope_max_deg: found 5, allowed nothing without"));
}

TEST(SiteSearchCommand, RefusesGeoTiffWithoutGdal) {
    const std::string old = std::getenv("PATH");
    setenv("PATH", "/nowhere", 1);
    expect_refused({"terrain.elevation_grid", "heights.tif", std::string("II*\0rest", 8),
                    "heights.tif: found a GeoTIFF, and no program gdal_translate (GDAL) on this machine"});
    setenv("PATH", old.c_str(), 1);
}

TEST(SiteSearchCommand, RefusesCommandLinesThatWillNotDo) {
    const Folder folder("areas.geojson", between_masts);
    const std::string plan = folder.file("plan.toml");
    for (const auto& [arguments, says] : std::vector<std::pair<std::vector<std::string>, std::string>>{
             {{"reach", plan, "--at-most", "2"}, "neither --grid nor --candidates"},
             {{"reach", plan, "--grid", "400", "--at-most", "0"}, "--at-most"},
             {{"reach", plan, "--grid", "400", "--new-plan", folder.file("found.toml")}, "--at-most"}}) {
        const ProgramResult result = run_program(program, arguments);
        EXPECT_EQ(result.exit_code, 2) << says << result.out;
        EXPECT_THAT(result.err, HasSubstr(says));
    }
    EXPECT_THAT(folder.search({"--new-plan", plan}).err, HasSubstr("the plan itself"));
    const ScratchDirectory elsewhere;
    const ProgramResult lost = folder.search(
        {"--new-plan", elsewhere.file("found.toml"), "--set", "areas.exclusion_geojson=\"areas.geojson\""});
    EXPECT_EQ(lost.exit_code, 2);
    EXPECT_THAT(lost.err, HasSubstr("in another folder than \"areas.geojson\""));
    EXPECT_FALSE(std::filesystem::exists(elsewhere.file("found.toml")));
}

TEST(SiteSearchCommand, WritesAPlanThatReadsBackWithNoSiteInAnArea) {
    const Folder folder("areas.geojson", between_masts);
    const std::string found = folder.file("found.toml");
    const ProgramResult result =
        folder.search({"--new-plan", found, "--set", "areas.exclusion_geojson=\"areas.geojson\""});
    ASSERT_EQ(result.exit_code, 0) << result.err;
    EXPECT_THAT(result.out, HasSubstr("in an excluded area"));
    EXPECT_THAT(result.out, HasSubstr("new plan: " + found));
    const ProgramResult check = run_program(program, {"check", found});
    EXPECT_EQ(check.exit_code, 0) << check.err << "the loader refuses a site in an area";
    EXPECT_THAT(read_whole_file(found), HasSubstr("exclusion_geojson = \"areas.geojson\""));
    EXPECT_EQ(folder.search({"--threads", "1"}).out, folder.search({"--threads", "2"}).out);
}

}  // namespace site_search_command_test
