#pragma once

#include <array>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// Corners of a loop in its own plane, [right, up] in metres as seen when looking along the normal,
/// clockwise, the area's centroid at the origin. A circle is given by 64 corners of a polygon with its radius.
std::vector<std::array<double, 2>> loop_outline_m(const Loop& loop);

/// Signed area of a closed outline by the shoelace formula, positive when the corners run clockwise.
double outline_area_m2(const std::vector<std::array<double, 2>>& outline_m);

/// Whether two sides that are not neighbours touch or cross.
bool outline_crosses_itself(const std::vector<std::array<double, 2>>& outline_m);

/// Largest distance of a corner from the centroid.
double loop_reach_m(const Loop& loop);

/// How far the lowest point of the loop lies below its centre, tilt included.
double loop_drop_m(const Loop& loop);

}  // namespace ampturn::plan
