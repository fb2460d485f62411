#pragma once

#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::sheet {

/// Where and how the loops of a site stand: azimuths of their normals, degrees clockwise from true north.
struct SketchedSite {
    double azimuth_a_deg, azimuth_b_deg;
    double keep_out_m;  ///< public, from any wire, 0 or more; shown as given
};

/// The loops and the ring around them, drawn to scale (SVG, no script): from above with north up, the ring where people
/// keep `keep_out_m` from the nearest wire as seen from above; and each loop seen against its normal, over the ground.
std::string loop_sketch_svg(const plan::Plan& plan, const SketchedSite& site);

/// A point of a loop's wire from the loop's centre, metres.
struct WirePoint {
    double east_m, north_m, up_m;
};
/// The wire of one turn, in order, closed: last is first. A circle has 72 points. The normal points to `azimuth_deg` and
/// dips by the loop's tilt; seen against it, x of the outline runs to the right and y up.
std::vector<WirePoint> wire_of(const plan::Loop& loop, double azimuth_deg);

}  // namespace ampturn::sheet
