#pragma once

#include <map>
#include <vector>

#include "model/fields/fields.hpp"

namespace ampturn::model::fields {

/// The whole loop as one dipole: moment turns * current * area vector, at the centroid of the area.
Dipole loop_as_dipole(const Loop& loop);

/// A loop as point dipoles spread over its area (a uniform current loop is a sheet of dipoles: Ampere).
class LoopQuadrature {
  public:
    explicit LoopQuadrature(const Loop& loop);

    /// order x order dipoles. A parallelogram takes the Gauss-Legendre rule; any other polygon the same
    /// points over the rectangle around it, with weights that integrate their interpolating polynomial over
    /// the polygon exactly. A receiver closer than 2.5 radii: the loop is cut into pieces small against their
    /// distance, each with its own rule. Converges to the loop's field as order grows.
    std::vector<Dipole> dipoles(int order, const Receiver& receiver);

    const Dipole& whole() const { return whole_; }

    /// Where dipoles() are far_dipoles(), the same for all.
    bool is_far(const Receiver& receiver) const;
    double distance_m(const Receiver& receiver) const;
    bool is_parallelogram() const;
    const std::vector<Dipole>& far_dipoles(int order);

    /// Half the height of an upright rectangle with two level sides: it is made of columns, whose dipoles a mean over their
    /// height sums (model/integrals/integral_terms.hpp). 0 for any other loop.
    double column_half_height_m() const;
    /// The Gauss-Legendre rule along the level sides alone: each dipole is a column's, at its middle. Far receivers.
    std::vector<Dipole> columns(int order) const;

  private:
    Loop loop_;
    Dipole whole_;
    double radius_m_;
    std::map<int, std::vector<Dipole>> far_;
};

/// Largest distance of a vertex from the centroid, and shortest distance of a point from the wire.
double loop_radius_m(const Loop& loop);
double distance_to_wire_m(const Loop& loop, const Receiver& receiver);

/// Whether the receiver is in the loop: within its outline seen from above (an upright loop has none), or in
/// its plane, within 0.5 m, inside the wire.
bool inside_loop(const Loop& loop, const Receiver& receiver);

/// Throws RangeError "loop.turns", "loop.vertex.z_m" with the vertex' index, and so on (see Loop).
void check_loop(const Loop& loop);

}  // namespace ampturn::model::fields
