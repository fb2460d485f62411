#include "scheduler/terrain/geojson_shapes.hpp"

#include <fmt/format.h>

#include <boost/geometry/algorithms/correct.hpp>
#include <boost/geometry/algorithms/is_valid.hpp>

#include "scheduler/base/input_error.hpp"
#include "scheduler/terrain/boost_polygon.hpp"

namespace ampturn::terrain {

namespace {

using Json = nlohmann::ordered_json;
namespace bg = boost::geometry;

[[noreturn]] void refuse(const std::string& path, const std::string& key, const std::string& found,
                         const std::string& allowed) {
    throw base::InputError(
        base::InputProblem{.file = path, .position = {}, .key = key, .found = found, .allowed = allowed});
}

std::vector<LonLat> positions(const Json& list, const std::string& path, const std::string& key) {
    if (!list.is_array()) refuse(path, key, list.dump(), "a list of positions");
    std::vector<LonLat> out;
    for (const Json& position : list)
        out.push_back(position_of_geojson(position, path, fmt::format("{}[{}]", key, out.size() + 1)));
    return out;
}

std::string words(bg::validity_failure_type failure) {
    switch (failure) {
        case bg::failure_self_intersections:
            return "a ring that crosses or touches itself or another";
        case bg::failure_interior_rings_outside:
            return "a hole that is not inside";
        case bg::failure_nested_interior_rings:
            return "a hole inside a hole";
        case bg::failure_spikes:
            return "a ring with a spike of no width";
        default:
            return "a ring that crosses itself or encloses no area";
    }
}

void check_valid(const std::vector<std::vector<LonLat>>& rings, const std::string& path,
                 const std::string& key) {
    bg::validity_failure_type failure{};
    if (!bg::is_valid(boost_polygon(rings), failure))
        refuse(path, key, words(failure), "rings that cross neither themselves nor each other, holes inside");
}

std::vector<LonLat> ring_of(const Json& list, const std::string& path, const std::string& key) {
    std::vector<LonLat> ring = positions(list, path, key);
    if (ring.size() < 4)
        refuse(path, key, fmt::format("{} positions", ring.size()), "at least 4, the last as the first");
    const LonLat &first = ring.front(), &last = ring.back();
    if (first.longitude_deg != last.longitude_deg || first.latitude_deg != last.latitude_deg)
        refuse(path, key,
               fmt::format("a ring from [{}, {}] to [{}, {}]", first.longitude_deg, first.latitude_deg,
                           last.longitude_deg, last.latitude_deg),
               "a closed ring: the last position as the first");
    check_valid({ring}, path, key);
    return ring;
}

Polygon polygon_of(std::string name, const Json& list, const std::string& path, const std::string& key) {
    if (!list.is_array() || list.empty()) refuse(path, key, list.dump(), "a list of rings");
    Polygon out{std::move(name), {}};
    for (const Json& ring : list)
        out.rings.push_back(ring_of(ring, path, fmt::format("{}[{}]", key, out.rings.size() + 1)));
    check_valid(out.rings, path, key);
    return out;
}

Line line_of(std::string name, const Json& list, const std::string& path, const std::string& key) {
    Line out{std::move(name), positions(list, path, key)};
    if (out.points.size() < 2)
        refuse(path, key, fmt::format("{} positions", out.points.size()), "at least 2");
    return out;
}

/// Shapes of a file, one or many a feature.
template <class Shape, class Make>
std::vector<Shape> shapes_of(std::string_view text, const std::string& path, const GeoJsonWish& wish,
                             const Make& make) {
    std::vector<Shape> out;
    for (const GeoJsonFeature& feature : features_of_geojson(text, path, wish)) {
        const Json& coordinates = feature.geometry.at("coordinates");
        const std::string key = feature.key + ".coordinates";
        if (feature.geometry.at("type") == wish.types.front()) {
            out.push_back(make(feature.name, coordinates, path, key));
            continue;
        }
        for (std::size_t i = 0; i < coordinates.size(); ++i)
            out.push_back(make(feature.name, coordinates[i], path, fmt::format("{}[{}]", key, i + 1)));
    }
    return out;
}

}  // namespace

BoostPolygon boost_polygon(const std::vector<std::vector<LonLat>>& rings) {
    BoostPolygon out;
    out.inners().resize(rings.size() - 1);
    for (std::size_t i = 0; i < rings.size(); ++i) {
        auto& ring = i == 0 ? out.outer() : out.inners()[i - 1];
        for (const LonLat& p : rings[i]) ring.emplace_back(p.longitude_deg, p.latitude_deg);
    }
    bg::correct(out);
    return out;
}

std::vector<Polygon> polygons_of_geojson(std::string_view text, const std::string& path) {
    return shapes_of<Polygon>(text, path, {"polygon", {"Polygon", "MultiPolygon"}}, polygon_of);
}

std::vector<Line> lines_of_geojson(std::string_view text, const std::string& path) {
    return shapes_of<Line>(text, path, {"line", {"LineString", "MultiLineString"}}, line_of);
}

}  // namespace ampturn::terrain
