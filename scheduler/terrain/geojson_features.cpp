#include "scheduler/terrain/geojson_features.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/nesting.hpp"

namespace ampturn::terrain {

namespace {

using Json = nlohmann::ordered_json;

[[noreturn]] void refuse(const std::string& path, const std::string& key, const std::string& found,
                         const std::string& allowed, int line = 0) {
    throw base::InputError(base::InputProblem{
        .file = path, .position = {line, line > 0 ? 1 : 0}, .key = key, .found = found, .allowed = allowed});
}

Json parsed(std::string_view text, const std::string& path) {
    if (const auto at = base::json_nested_too_deep(text))
        refuse(path, "", base::json_nesting_found, base::nesting_allowed,
               base::position_of_byte(text, *at).line);
    try {
        return Json::parse(text);
    } catch (const Json::out_of_range&) {
        refuse(path, "", "a number beyond all that a computer holds", "GeoJSON after RFC 7946");
    } catch (const Json::parse_error& error) {
        const auto line =
            1 + std::count(text.begin(),
                           text.begin() + static_cast<std::ptrdiff_t>(std::min(error.byte, text.size())),
                           '\n');
        refuse(path, "", "text that is not JSON", "GeoJSON after RFC 7946", static_cast<int>(line));
    }
}

std::string name_in(const Json& feature, const std::string& noun, std::size_t number) {
    if (const auto properties = feature.find("properties");
        properties != feature.end() && properties->is_object())
        if (const auto name = properties->find("name"); name != properties->end() && name->is_string())
            return name->get<std::string>();
    if (const auto id = feature.find("id"); id != feature.end())
        return id->is_string() ? id->get<std::string>() : id->dump();
    return fmt::format("{} {}", noun, number);
}

std::string text_in(const Json& object, const char* member) {
    const auto found = object.find(member);
    return found != object.end() && found->is_string() ? found->get<std::string>() : "";
}

/// "\"Polygon\" or \"MultiPolygon\""
std::string listed(const std::vector<std::string>& types) {
    std::string out;
    for (std::size_t i = 0; i < types.size(); ++i)
        out += (i == 0 ? "" : i + 1 == types.size() ? " or " : ", ") + ("\"" + types[i] + "\"");
    return out;
}

GeoJsonFeature checked(GeoJsonFeature feature, const std::string& path, const GeoJsonWish& wish) {
    const Json& geometry = feature.geometry;
    const std::string type = geometry.is_object() ? text_in(geometry, "type") : "";
    if (std::find(wish.types.begin(), wish.types.end(), type) == wish.types.end())
        refuse(path, feature.key,
               geometry.is_object() ? "geometry of type " + geometry.value("type", Json("none")).dump()
                                    : geometry.dump(),
               "a geometry of type " + listed(wish.types));
    if (const auto coordinates = geometry.find("coordinates");
        coordinates == geometry.end() || !coordinates->is_array())
        refuse(path, feature.key + ".coordinates",
               coordinates == geometry.end() ? "nothing" : coordinates->dump(), "an array");
    return feature;
}

}  // namespace

std::vector<GeoJsonFeature> features_of_geojson(std::string_view text, const std::string& path,
                                                const GeoJsonWish& wish) {
    const Json root = parsed(text, path);
    if (!root.is_object())
        refuse(path, "", "no JSON object", "a GeoJSON FeatureCollection of " + wish.noun + "s");
    std::vector<GeoJsonFeature> out;
    const std::string type = text_in(root, "type");
    if (std::find(wish.types.begin(), wish.types.end(), type) != wish.types.end()) {
        out.push_back(checked({wish.noun + " 1", "geometry", root}, path, wish));
    } else if (type == "Feature") {
        out.push_back(
            checked({name_in(root, wish.noun, 1), "geometry", root.value("geometry", Json())}, path, wish));
    } else if (type == "FeatureCollection" && root.contains("features") && root["features"].is_array()) {
        for (const Json& feature : root["features"]) {
            const std::string key = fmt::format("features[{}]", out.size() + 1);
            if (!feature.is_object()) refuse(path, key, feature.dump(), "a Feature");
            out.push_back(checked({name_in(feature, wish.noun, out.size() + 1), key + ".geometry",
                                   feature.value("geometry", Json())},
                                  path, wish));
        }
    } else {
        std::vector<std::string> types{"FeatureCollection", "Feature"};
        types.insert(types.end(), wish.types.begin(), wish.types.end());
        refuse(path, "type", root.contains("type") ? root["type"].dump() : "nothing", listed(types));
    }
    if (out.empty()) refuse(path, "features", "none", "at least one " + wish.noun);
    return out;
}

LonLat position_of_geojson(const Json& position, const std::string& path, const std::string& key) {
    if (!position.is_array() || position.size() < 2 || !position[0].is_number() || !position[1].is_number())
        refuse(path, key, position.dump(), "[longitude, latitude] in degrees");
    const LonLat out{position[0].get<double>(), position[1].get<double>()};
    if (!(out.latitude_deg >= -90 && out.latitude_deg <= 90))
        refuse(path, key, fmt::format("latitude {:g}", out.latitude_deg), "-90 to 90 degrees");
    if (!(out.longitude_deg >= -180 && out.longitude_deg <= 180))
        refuse(path, key, fmt::format("longitude {:g}", out.longitude_deg), "-180 to 180 degrees");
    return out;
}

}  // namespace ampturn::terrain
