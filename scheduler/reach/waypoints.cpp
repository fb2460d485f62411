#include "scheduler/reach/waypoints.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/property_tree/ptree.hpp>
#include <boost/property_tree/xml_parser.hpp>
#include <cmath>
#include <locale>
#include <sstream>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/nesting.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/terrain/geojson_features.hpp"

namespace ampturn::reach {

namespace {

using Json = nlohmann::ordered_json;

[[noreturn]] void refuse(const std::string& path, const std::string& key, const std::string& found,
                         const std::string& allowed, int line = 0) {
    throw base::InputError(base::InputProblem{
        .file = path, .position = {line, line > 0 ? 1 : 0}, .key = key, .found = found, .allowed = allowed});
}

Waypoint checked(Waypoint point, const std::string& path, const std::string& key) {
    if (!(point.latitude_deg >= -90 && point.latitude_deg <= 90))
        refuse(path, key, fmt::format("latitude {:g}", point.latitude_deg), "-90 to 90 degrees");
    if (!(point.longitude_deg >= -180 && point.longitude_deg <= 180))
        refuse(path, key, fmt::format("longitude {:g}", point.longitude_deg), "-180 to 180 degrees");
    return point;
}

double degrees(const std::string& text, const std::string& path, const std::string& key) {
    std::istringstream in(text);
    in.imbue(std::locale::classic());
    double value = 0;
    if (!(in >> value) || in.peek() != std::char_traits<char>::eof())
        refuse(path, key, "\"" + text + "\"", "a number of degrees");
    return value;
}

bool ends_with(std::string text, const std::string& ending) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text.ends_with(ending);
}

std::string degrees_text(double value) { return fmt::format("{:.7f}", value); }

}  // namespace

std::vector<Waypoint> waypoints_of_geojson(std::string_view text, const std::string& path) {
    std::vector<Waypoint> points;
    for (const terrain::GeoJsonFeature& feature :
         terrain::features_of_geojson(text, path, {"point", {"Point"}})) {
        const terrain::LonLat at = terrain::position_of_geojson(feature.geometry.at("coordinates"), path,
                                                                feature.key + ".coordinates");
        points.push_back({feature.name, at.latitude_deg, at.longitude_deg});
    }
    return points;
}

std::vector<Waypoint> waypoints_of_gpx(std::string_view text, const std::string& path) {
    namespace pt = boost::property_tree;
    if (const auto at = base::xml_nested_too_deep(text))
        refuse(path, "", "elements too deep inside one another", base::nesting_allowed,
               base::position_of_byte(text, *at).line);
    pt::ptree tree;
    try {
        std::istringstream in{std::string(text)};
        pt::read_xml(in, tree, pt::xml_parser::trim_whitespace | pt::xml_parser::no_comments);
    } catch (const pt::xml_parser_error& error) {
        refuse(path, "", "text that is not XML: " + error.message(), "GPX 1.1",
               static_cast<int>(error.line()));
    }
    const auto gpx = tree.get_child_optional("gpx");
    if (!gpx) refuse(path, "", "no <gpx> element", "GPX 1.1");
    std::vector<Waypoint> points;
    for (const auto& [tag, element] : *gpx) {
        if (tag != "wpt") continue;
        const std::string key = fmt::format("wpt[{}]", points.size() + 1);
        const auto latitude = element.get_optional<std::string>("<xmlattr>.lat"),
                   longitude = element.get_optional<std::string>("<xmlattr>.lon");
        if (!latitude || !longitude) refuse(path, key, "no lat or no lon", "both, in degrees");
        points.push_back(
            checked({element.get<std::string>("name", fmt::format("point {}", points.size() + 1)),
                     degrees(*latitude, path, key + ".lat"), degrees(*longitude, path, key + ".lon")},
                    path, key));
    }
    if (points.empty()) refuse(path, "wpt", "none", "at least one waypoint");
    return points;
}

std::vector<Waypoint> read_waypoints(const std::string& path) {
    if (ends_with(path, ".gpx")) return waypoints_of_gpx(base::read_input_file(path), path);
    if (ends_with(path, ".geojson") || ends_with(path, ".json"))
        return waypoints_of_geojson(base::read_input_file(path), path);
    refuse(path, "", "a file of another kind", "a name that ends in .geojson, .json or .gpx");
}

std::string geojson_text(const std::vector<Feature>& features) {
    Json list = Json::array();
    for (const Feature& f : features) {
        Json properties{{"name", f.point.name}};
        if (f.properties.is_object()) properties.update(f.properties);
        const auto rounded = [](double degree) { return std::round(degree * 1e7) / 1e7; };
        list.push_back({{"type", "Feature"},
                        {"geometry",
                         {{"type", "Point"},
                          {"coordinates",
                           Json::array({rounded(f.point.longitude_deg), rounded(f.point.latitude_deg)})}}},
                        {"properties", std::move(properties)}});
    }
    return Json{{"type", "FeatureCollection"}, {"features", std::move(list)}}.dump(
               1, ' ', false, Json::error_handler_t::replace) +
           "\n";
}

std::string gpx_text(const std::vector<Waypoint>& points, const std::string& route_name,
                     const std::vector<Waypoint>& route) {
    std::string out = fmt::format(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
        "<gpx version=\"1.1\" creator=\"ampturn {}\" xmlns=\"http://www.topografix.com/GPX/1/1\" "
        "xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\" "
        "xsi:schemaLocation=\"http://www.topografix.com/GPX/1/1 "
        "http://www.topografix.com/GPX/1/1/gpx.xsd\">\n",
        base::version());
    const auto element = [](const char* tag, const Waypoint& p) {
        return fmt::format("<{0} lat=\"{1}\" lon=\"{2}\"><name>{3}</name></{0}>\n", tag,
                           degrees_text(p.latitude_deg), degrees_text(p.longitude_deg),
                           page::html_escaped(p.name));
    };
    for (const Waypoint& p : points) out += element("wpt", p);
    if (!route.empty()) {
        out += fmt::format("<rte><name>{}</name>\n", page::html_escaped(route_name));
        for (const Waypoint& p : route) out += element("rtept", p);
        out += "</rte>\n";
    }
    return out + "</gpx>\n";
}

}  // namespace ampturn::reach
