#pragma once

#include <vector>

#include "model/fields.hpp"

namespace ampturn::model {

/// The whole loop as one dipole: moment turns * current * area vector, at the centroid of the area.
Dipole loop_as_dipole(const Loop& loop);

/// The loop as point dipoles spread over its area: Gauss-Legendre order x order in every parallelogram, and
/// in every triangle of the fan from the first vertex for other polygons (signed, so that the polygon need
/// not be convex). Cells that are large against their distance to the receiver are quartered first. Exact in
/// the limit: a uniform current loop is a sheet of dipoles (Ampere's equivalence).
std::vector<Dipole> loop_as_dipoles(const Loop& loop, int order, const Receiver& receiver);

/// Largest distance of a vertex from the centroid, and shortest distance of a point from the wire.
double loop_radius_m(const Loop& loop);
double distance_to_wire_m(const Loop& loop, const Receiver& receiver);

/// Throws std::invalid_argument naming what is out of range (see Loop).
void check_loop(const Loop& loop);

}  // namespace ampturn::model
