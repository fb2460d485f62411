#pragma once

#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>

#include "scheduler/terrain/geojson_shapes.hpp"

namespace ampturn::terrain {

/// A polygon as Boost.Geometry has it: x longitude, y latitude, rings wound as it wants them.
using BoostPoint = boost::geometry::model::d2::point_xy<double>;
using BoostPolygon = boost::geometry::model::polygon<BoostPoint>;

BoostPolygon boost_polygon(const std::vector<std::vector<LonLat>>& rings);

}  // namespace ampturn::terrain
