#include "scheduler/reach/waypoints.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/reach/site_search.hpp"
#include "scheduler/reach/site_search_output.hpp"
#include "scheduler/reach/site_search_page.hpp"
#include "tests/paths.hpp"

namespace ampturn::reach {
namespace waypoints_test {

using testing::HasSubstr;

const std::vector<Waypoint> points{{"A & <b>", 61.5135871, 14.0162139}, {"B", -0.5, -179.25}};

/// Source of the formats: RFC 7946 (longitude first) and the GPX 1.1 schema.
TEST(Waypoints, ComeBackFromBothFormats) {
    // Identity: written and read back, in the published formats.
    std::vector<Feature> features;
    for (const Waypoint& p : points) features.push_back({p, {{"kind", "station"}}});
    const std::string geojson = geojson_text(features);
    EXPECT_EQ(nlohmann::json::parse(geojson).at("features").at(0).at("geometry").at("coordinates").at(0),
              14.0162139);
    const std::string gpx = gpx_text(points, "walk", points);
    EXPECT_THAT(gpx, HasSubstr("version=\"1.1\""));
    for (const auto& back : {waypoints_of_geojson(geojson, "x.geojson"), waypoints_of_gpx(gpx, "x.gpx")}) {
        ASSERT_EQ(back.size(), 2u);
        EXPECT_EQ(back[0].name, "A & <b>");
        EXPECT_NEAR(back[0].latitude_deg, 61.5135871, 1e-9);
        EXPECT_NEAR(back[1].longitude_deg, -179.25, 1e-9);
    }
    EXPECT_EQ(waypoints_of_geojson(R"({"type":"Point","coordinates":[1,2]})", "p.json").at(0).latitude_deg,
              2);
}

std::string complaint(const std::string& text, bool gpx) {
    try {
        (void)(gpx ? waypoints_of_gpx(text, "f") : waypoints_of_geojson(text, "f"));
    } catch (const base::InputError& error) {
        return error.what();
    }
    return "accepted";
}

TEST(Waypoints, SayWhatIsWrong) {
    EXPECT_THAT(complaint("{\n\"type\": }", false), HasSubstr("f:2:"));
    EXPECT_THAT(complaint("[]", false), HasSubstr("no JSON object"));
    EXPECT_THAT(complaint(R"({"type":"FeatureCollection","features":[]})", false),
                HasSubstr("at least one point"));
    EXPECT_THAT(
        complaint(
            R"({"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"LineString"}}]})",
            false),
        HasSubstr("LineString"));
    EXPECT_THAT(complaint(R"({"type":"Point","coordinates":[14, 95]})", false), HasSubstr("latitude 95"));
    EXPECT_THAT(complaint(R"({"type":"Point","coordinates":["a", 5]})", false), HasSubstr("coordinates"));
    EXPECT_THAT(complaint("<gpx><wpt lat=\"1\"/></gpx>", true), HasSubstr("wpt[1]"));
    EXPECT_THAT(complaint("<gpx><wpt lat=\"north\" lon=\"2\"/></gpx>", true), HasSubstr("north"));
    EXPECT_THAT(complaint("<gpx>", true), HasSubstr("not XML"));
    EXPECT_THAT(complaint("<kml/>", true), HasSubstr("no <gpx>"));
    EXPECT_THROW((void)read_waypoints("points.txt"), base::InputError);
}

TEST(SiteSearch, BestFirstAndThePlannedSiteByTheSameMeasure) {
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"));
    auto candidates = grid_candidates(plan, 250, 250);
    candidates.push_back({.name = "where the plan has it", .place = plan.sites[0].place});
    const SiteSearch one = search_site(plan, candidates, {.threads = 1}),
                     two = search_site(plan, candidates, {.threads = 3});
    EXPECT_EQ(one.reading_count, 8);
    ASSERT_EQ(one.candidates.size(), candidates.size());
    for (std::size_t i = 1; i < one.candidates.size(); ++i)
        EXPECT_GE(one.candidates[i - 1].usable_count, one.candidates[i].usable_count);
    for (std::size_t i = 0; i < one.candidates.size(); ++i) {
        EXPECT_EQ(one.candidates[i].name, two.candidates[i].name) << "same order whatever the threads";
        EXPECT_LE(one.candidates[i].usable_count,
                  std::min(one.candidates[i].far_field_count, one.candidates[i].sufficient_snr_count));
        if (one.candidates[i].name == "where the plan has it") {
            EXPECT_EQ(one.candidates[i].usable_count, one.planned[0].usable_count);
        }
    }
    EXPECT_EQ(site_search_json_text(one), site_search_json_text(two));
    EXPECT_EQ(site_search_files(plan, one).size(), 3u) << "no coordinates, so no GeoJSON and no GPX";
    EXPECT_THROW((void)grid_candidates(plan, 0.1, 1000), base::InputError);
    EXPECT_THROW((void)candidates_of(plan, points), base::InputError);
}

TEST(SiteSearch, WritesMapFilesThatReadBack) {
    // Identity: metres to degrees and back.
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"),
                                                  {{"sweep.frequencies_hz", "[8525]"}});
    const SiteSearch found = search_site(plan, grid_candidates(plan, 800, 400), {});
    const auto files = site_search_files(plan, found);
    const auto file = [&](const char* name) {
        for (const base::NamedText& f : files)
            if (f.name == name) return f.text;
        ADD_FAILURE() << name << " is missing";
        return std::string();
    };
    EXPECT_EQ(files.size(), 5u);
    EXPECT_EQ(waypoints_of_geojson(file("sites.geojson"), "g").size(), found.candidates.size() + 2 + 12);
    EXPECT_EQ(waypoints_of_gpx(file("waypoints.gpx"), "w").size(), 12u + 2 + 1);
    const auto json = nlohmann::json::parse(file("site_search.json"));
    ASSERT_EQ(json.at("candidates").size(), found.candidates.size());
    EXPECT_EQ(json.at("candidates")[0].at("name"), found.candidates[0].name);
    EXPECT_EQ(json.at("candidates")[0].at("usable_count"), found.candidates[0].usable_count);
    EXPECT_EQ(json.at("stations").size(), 12u);
    EXPECT_EQ(json.at("planned").size(), 2u);
    EXPECT_GT(json.at("keep_out_public_m").get<double>(), 1);
    // The page says it all without a picture too.
    const std::string page = file("sites.html");
    EXPECT_THAT(page, HasSubstr("<pre>"));
    EXPECT_THAT(page, HasSubstr("<td>West mast (planned)</td>"));
    EXPECT_THAT(page, HasSubstr("<td>V12</td>"));
    EXPECT_THAT(page, HasSubstr("Invented scenario"));
    // A grid point's coordinates and metres agree: back to metres by the geodesic.
    const auto again = candidates_of(
        plan, {{"x", *found.candidates[0].place.latitude_deg, *found.candidates[0].place.longitude_deg}});
    EXPECT_NEAR(again[0].place.x_m, found.candidates[0].place.x_m, 0.01);
    EXPECT_NEAR(again[0].place.y_m, found.candidates[0].place.y_m, 0.01);
}

}  // namespace waypoints_test
}  // namespace ampturn::reach
