#include "scheduler/terrain/geojson_shapes.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "scheduler/base/input_error.hpp"
#include "scheduler/terrain/excluded_areas.hpp"

namespace ampturn::terrain {
namespace geojson_shapes_test {

using testing::HasSubstr;

std::string polygon(const std::string& rings) {
    return R"({"type":"Feature","properties":{"name":"bog"},"geometry":{"type":"Polygon","coordinates":[)" +
           rings + "]}}";
}

std::string complaint(const std::string& text) {
    try {
        (void)polygons_of_geojson(text, "areas.geojson");
    } catch (const base::InputError& error) {
        return error.what();
    }
    return "nothing";
}

constexpr const char* square = "[[0,0],[4,0],[4,4],[0,4],[0,0]]";
constexpr const char* hole = "[[1,1],[1,2],[2,2],[2,1],[1,1]]";

// Definition: RFC 7946 section 3.1.6, the first ring bounds the area, the others holes in it.
TEST(ExcludedAreas, HoldWhatIsInsideAndNotInAHole) {
    const ExcludedAreas areas(
        polygons_of_geojson(polygon(std::string(square) + "," + hole), "areas.geojson"));
    ASSERT_NE(areas.holding({3, 3}), nullptr);
    EXPECT_EQ(*areas.holding({3, 3}), "bog");
    EXPECT_EQ(areas.holding({1.5, 1.5}), nullptr) << "in the hole";
    EXPECT_EQ(areas.holding({5, 3}), nullptr);
    EXPECT_NE(areas.holding({4, 3}), nullptr) << "on the edge";
    const ExcludedAreas two(polygons_of_geojson(
        R"({"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[1,1],[0,0]]],[[[5,5],[6,5],[6,6],[5,5]]]]})",
        "areas.geojson"));
    EXPECT_NE(two.holding({5.9, 5.5}), nullptr);
    EXPECT_EQ(two.holding({3, 3}), nullptr);
}

TEST(GeoJsonShapes, RefusesWhatIsNoArea) {
    EXPECT_EQ(complaint(polygon(square)), "nothing");
    EXPECT_THAT(
        complaint(polygon("[[0,0],[4,0],[4,4],[0,4]]")),
        HasSubstr("geometry.coordinates[1]: found a ring from [0, 0] to [0, 4], allowed a closed ring"));
    EXPECT_THAT(complaint(polygon("[[0,0],[4,4],[4,0],[0,3],[0,0]]")), HasSubstr("crosses"));
    EXPECT_THAT(complaint(polygon("[[0,0],[4,0],[0,0]]")), HasSubstr("3 positions"));
    EXPECT_THAT(complaint(polygon(std::string(square) + ",[[5,5],[6,5],[6,6],[5,5]]")), HasSubstr("hole"));
    EXPECT_THAT(complaint(polygon("[[0,0],[400,0],[4,4],[0,0]]")), HasSubstr("longitude 400"));
    EXPECT_THAT(complaint(R"({"type":"Polygone","coordinates":[]})"), HasSubstr("\"Polygone\""));
    EXPECT_THAT(
        complaint(R"({"type":"Feature","geometry":{"type":"LineString","coordinates":[[0,0],[1,1]]}})"),
        HasSubstr("allowed a geometry of type \"Polygon\" or \"MultiPolygon\""));
    EXPECT_THAT(complaint("{\n\"type\": }"), HasSubstr("areas.geojson:2"));
    EXPECT_THAT(complaint("{\"type\": -9223371e302}"), HasSubstr("found a number beyond all that"));
    EXPECT_THROW((void)lines_of_geojson(R"({"type":"LineString","coordinates":[[0,0]]})", "t"),
                 base::InputError);
    EXPECT_EQ(
        lines_of_geojson(R"({"type":"MultiLineString","coordinates":[[[0,0],[1,1]],[[2,2],[3,3]]]})", "t")
            .size(),
        2u);
}

}  // namespace geojson_shapes_test
}  // namespace ampturn::terrain
