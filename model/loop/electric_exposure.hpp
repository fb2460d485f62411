#pragma once

#include <functional>
#include <span>
#include <vector>

#include "model/loop/charged_sides.hpp"
#include "model/loop/exposure.hpp"

/// Electric field near a loop at volts to ground, for keep-out distances. A planning aid on the safe side: local law
/// and the responsible person decide.
///
/// The whole bundle is taken to stand at the highest volts found anywhere on it (its far end, open turns beyond a
/// tap), over ground that conducts (mirror image of opposite charge): the true volts run from there down to the
/// bridge's along the wire. Its charge is that of a conductor at one potential, piece by piece (method of moments,
/// potentials matched at the middle of each piece). The induced part, 2 pi f times the vector potential, is added by
/// size, though charges on a loop mostly cancel it. Source: field and potential of a finite line charge, images, any
/// text on electrostatics.
namespace ampturn::model::loop {

/// Reference level in volts per metre rms, 1 Hz <= frequency_hz <= 10 MHz (NaN outside), ICNIRP 2010, Health Physics
/// 99(6):818-836, as in tests/reference/field/icnirp2010_reference_levels.csv; at a band edge the upper band holds.
double icnirp2010_level_v_per_m(ExposureGroup group, double frequency_hz);

/// A closed polygon in the field frame (z down, ground at 0), as a bundle of this radius; one that touches the ground
/// is lifted to a radius above it.
class ChargedLoop {
  public:
    /// Throws RangeError "radius_m" unless > 0.
    ChargedLoop(std::vector<LoopPoint> vertices, double radius_m);
    std::span<const LoopPoint> vertices() const { return vertices_; }
    /// |E| per volt to ground at a point above ground, off the wire, V/m per V.
    double field_per_volt(const LoopPoint& at) const;
    /// Vector potential per ampere-turn, free space, Wb/m per A.
    double vector_potential_per_ampere(const LoopPoint& at) const;

    /// To ground.
    double capacitance_f() const;

  private:
    std::vector<LoopPoint> vertices_;
    ChargedSides sides_;   // pieces of the wire at one volt, and their images
    double charge_m_ = 0;  // of all pieces, over 4 pi eps0
};

/// Radius around all turns of a hexagonal bundle, on the large side: (sqrt(turns) + 1)/2 pitches.
double outer_bundle_radius_m(int turns, double pitch_m);

/// Largest distance from any wire of the polygons at which index(point) still reaches 1, above ground. The index must
/// fall towards far; looked for along rays from the middle, every 15 degrees, closer about the six worst of them. 0 where it
/// is nowhere reached on them.
double index_distance_m(const std::vector<std::vector<LoopPoint>>& polygons,
                        const std::function<double(const LoopPoint&)>& index);

}  // namespace ampturn::model::loop
