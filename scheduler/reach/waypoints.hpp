#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::reach {

/// Named points on WGS84, in the two open formats field crews carry about.

struct Waypoint {
    std::string name;
    double latitude_deg, longitude_deg;
};

/// Points of a GeoJSON FeatureCollection, Feature or Point (RFC 7946; longitude first, WGS84). The name is
/// the property "name", else the id, else "point N". Other geometries are refused. InputError names the
/// place in the file.
std::vector<Waypoint> waypoints_of_geojson(std::string_view text, const std::string& path);
/// <wpt> elements of GPX 1.1 (or 1.0). Tracks and routes are left aside. InputError when there are none.
std::vector<Waypoint> waypoints_of_gpx(std::string_view text, const std::string& path);
/// By the file's ending, .gpx or .geojson/.json.
std::vector<Waypoint> read_waypoints(const std::string& path);

struct Feature {
    Waypoint point;
    nlohmann::ordered_json properties = {};  // besides the name; an object or null
};
/// FeatureCollection of points, RFC 7946; coordinates to 1e-7 degrees (a centimetre).
std::string geojson_text(const std::vector<Feature>& features);
/// GPX 1.1: all points as <wpt>, then one <rte> of `route` when it is not empty.
std::string gpx_text(const std::vector<Waypoint>& points, const std::string& route_name,
                     const std::vector<Waypoint>& route);

}  // namespace ampturn::reach
