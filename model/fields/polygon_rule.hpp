#pragma once

#include <array>
#include <vector>

#include "model/base/gauss_legendre.hpp"

namespace ampturn::model::fields {

/// A closed polygon in a plane, in order; metres. Clipping may leave edges that run there and back: they
/// enclose nothing and count nothing.
using Polygon = std::vector<std::array<double, 2>>;

/// Whether a point is inside (odd number of edges to its right).
bool contains(const Polygon& polygon, double x_m, double y_m);

struct PlanePoint {
    double x_m, y_m, weight_m2;
};

/// Quadrature over a polygon: Gauss-Legendre points over the upright rectangle around it, with weights that
/// integrate their interpolating polynomial over the polygon exactly (by triangles from its first corner).
/// The weights add up to the polygon's area, positive where it runs from x to y. Any polygon, convex or not;
/// points may lie outside it, never outside the rectangle.
std::vector<PlanePoint> polygon_rule(const Polygon& polygon, const GaussLegendre& rule);

/// A point at `height_m` off the plane.
struct PlaneView {
    double x_m, y_m, height_m;
};

/// Cuts the polygon along its rectangle's longer side, again and again, until every piece is small against
/// its distance: centre at least `ratio` half diagonals away. At most 2^20 pieces.
std::vector<Polygon> split_for(const Polygon& polygon, const PlaneView& from, double ratio);

}  // namespace ampturn::model::fields
