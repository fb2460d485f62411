#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "scheduler/terrain/geojson_features.hpp"

namespace ampturn::terrain {

/// Polygons and lines of GeoJSON (RFC 7946); edges are straight in longitude and latitude (there, section 3.1.1).

struct Polygon {
    std::string name;
    std::vector<std::vector<LonLat>> rings;  // the outer one, then the holes; each ends where it begins
};

struct Line {
    std::string name;
    std::vector<LonLat> points;  // at least two
};

/// Polygon and MultiPolygon; either winding. InputError, naming the place in the file, for a ring of fewer than
/// four positions, that is not closed or crosses itself, and for holes that lie outside or cross.
std::vector<Polygon> polygons_of_geojson(std::string_view text, const std::string& path);
/// LineString and MultiLineString.
std::vector<Line> lines_of_geojson(std::string_view text, const std::string& path);

}  // namespace ampturn::terrain
