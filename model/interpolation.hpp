#pragma once

#include <array>
#include <cstddef>
#include <vector>

namespace ampturn::model {

/// Real numbers interpolated together.
inline constexpr std::size_t interpolated_count = 16;

/// Polynomial through values[point][interpolated_count] at the Chebyshev points of the first kind in [-1, 1],
/// at x, by the barycentric formula. Source: Berrut & Trefethen (2004), SIAM Review 46, 501.
std::array<double, interpolated_count> interpolate(const std::vector<double>& values, int points, double x);

/// The same through ten rows at 0, 1 ... 9; x in [0, 9]. Error of a smooth function in the middle: its tenth
/// difference over 700.
std::array<double, interpolated_count> interpolate_equispaced(const double* rows, double x);

/// T_k at node j of the points, k = points - 1 - below_last: what the last coefficients are formed with;
/// below_last 0, 1, 2; points 12, 24 or 48.
double last_chebyshev_polynomial(int points, int below_last, int j);

}  // namespace ampturn::model
