#pragma once

#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// The mains field of overhead lines by the distance to them.

/// Nearer than this, along the ground, the height and sag of the wires count, and no power of the distance holds.
/// Common practice, no source.
inline constexpr double power_line_clear_m = 10;

/// From a place to the nearest point of a line, along the ground, m. Geographic where both are: each stretch of the line is a
/// geodesic, a straight line in the gnomonic projection centred at the place, whose foot is the nearest point (Karney 2013,
/// J. Geodesy 87, 43-55); good to 1e-6 of the distance within 200 km. Else straight in the local plane.
/// The line has two points or more.
double distance_to_line_m(const Place& place, const PowerLine& line);

/// Horizontal mains field of a line, rms of the fundamental, nT:
///
///     b = mains_b_nt (at_distance_m / distance_m)^fall_off_exponent
///
/// distance_m > 0. Exponent 1: the current of one conductor, or what is unbalanced of three, H = I / (2 pi r); 2: three that
/// sum to zero. Real lines: common practice, no source.
double power_line_b_nt(const PowerLine& line, double distance_m);

/// All lines at a place: the root of the sum of squares, for their phases are not known (common practice, no source). 0 without
/// lines.
double power_lines_b_nt(const std::vector<PowerLine>& lines, const Place& place);

}  // namespace ampturn::plan
