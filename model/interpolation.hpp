#pragma once

#include <array>
#include <cstddef>
#include <vector>

namespace ampturn::model {

/// Real numbers interpolated together.
inline constexpr std::size_t interpolated_count = 16;

/// Polynomial through values[point][interpolated_count] at the Chebyshev points of the first kind in [-1, 1], at x, by
/// the barycentric formula. Source: Berrut & Trefethen (2004), SIAM Review 46, 501.
std::array<double, interpolated_count> interpolate(const std::vector<double>& values, int points, double x);

/// T_k at node j of `points` Chebyshev points of the first kind, ascending.
double chebyshev_polynomial_at_node(int points, int k, int j);

}  // namespace ampturn::model
