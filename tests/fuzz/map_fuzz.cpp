// libFuzzer target: what is read from a map: places in GeoJSON and GPX, areas and tracks in GeoJSON. Places that are accepted are
// written and read again as the same places.
#include <cmath>
#include <string>
#include <vector>

#include "scheduler/reach/waypoints.hpp"
#include "scheduler/terrain/geojson_shapes.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

namespace {

using namespace ampturn;

void must_be_the_same(const std::vector<reach::Waypoint>& before, const std::vector<reach::Waypoint>& after) {
    fuzz::must(before.size() == after.size(), "as many places as before");
    for (std::size_t i = 0; i < before.size(); ++i)
        fuzz::must(std::abs(before[i].latitude_deg - after[i].latitude_deg) < 1e-6 &&
                       std::abs(before[i].longitude_deg - after[i].longitude_deg) < 1e-6,
                   "at the same place");
}

void write_and_read(const std::vector<reach::Waypoint>& points) {
    std::vector<reach::Feature> features;
    for (const reach::Waypoint& point : points) features.push_back({point});
    const auto from_geojson = reach::waypoints_of_geojson(reach::geojson_text(features), "written.geojson");
    must_be_the_same(points, from_geojson);
    must_be_the_same(points,
                     reach::waypoints_of_gpx(reach::gpx_text(points, "route", points), "written.gpx"));
    must_be_the_same(from_geojson,
                     reach::waypoints_of_gpx(reach::gpx_text(from_geojson, "", {}), "written.gpx"));
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    static const std::vector<std::string> keys{"type",
                                               "features",
                                               "geometry",
                                               "coordinates",
                                               "properties",
                                               "name",
                                               "id",
                                               "Point",
                                               "Polygon",
                                               "MultiPolygon",
                                               "MultiLineString",
                                               "LineString",
                                               "FeatureCollection"};
    static const std::vector<std::string> lines{"<gpx>",
                                                "</gpx>",
                                                "<wpt lat=\"1\" lon=\"2\">",
                                                "</wpt>",
                                                "<name>A</name>",
                                                "<!-- -->",
                                                "<?xml version=\"1.0\"?>",
                                                "<![CDATA[",
                                                "]]>",
                                                "&amp;",
                                                "&#x10FFFF;",
                                                "&#0;"};
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        return text.starts_with('{') ? fuzz::changed_json(text, keys, random)
                                     : fuzz::changed_lines(std::move(text), lines, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of_bytes(data, size);
    std::vector<reach::Waypoint> points;
    if (text.starts_with('<')) {
        if (fuzz::accepted([&] { points = reach::waypoints_of_gpx(text, "fuzz.gpx"); }))
            write_and_read(points);
        return 0;
    }
    if (fuzz::accepted([&] { points = reach::waypoints_of_geojson(text, "fuzz.geojson"); }))
        write_and_read(points);
    fuzz::accepted([&] {
        for (const terrain::Polygon& polygon : terrain::polygons_of_geojson(text, "fuzz.geojson"))
            fuzz::must(!polygon.rings.empty() && polygon.rings.front().size() >= 4,
                       "a ring has four positions");
    });
    fuzz::accepted([&] {
        for (const terrain::Line& line : terrain::lines_of_geojson(text, "fuzz.geojson"))
            fuzz::must(line.points.size() >= 2, "a line has two points");
    });
    return 0;
}
