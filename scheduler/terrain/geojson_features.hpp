#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::terrain {

/// WGS84, as GeoJSON has it.
struct LonLat {
    double longitude_deg = 0, latitude_deg = 0;
};

struct GeoJsonFeature {
    std::string name;  // property "name", else the id, else "<noun> N"
    std::string key;   // where its geometry stands, for errors: "features[2].geometry"
    nlohmann::ordered_json geometry;
};

/// What a GeoJSON file is asked for.
struct GeoJsonWish {
    std::string noun;                // "point"
    std::vector<std::string> types;  // of geometry, as RFC 7946 names them; a bare one may be the whole file
};

/// The features of a FeatureCollection, Feature or bare geometry of a wished type (RFC 7946), at least one; each
/// has a geometry of one of those types. InputError names line or key otherwise.
std::vector<GeoJsonFeature> features_of_geojson(std::string_view text, const std::string& path,
                                                const GeoJsonWish& wish);

/// A position, [longitude, latitude] and perhaps a height, which is left aside. InputError, naming `key`, for
/// what is none or no place on the globe.
LonLat position_of_geojson(const nlohmann::ordered_json& position, const std::string& path,
                           const std::string& key);

}  // namespace ampturn::terrain
