#pragma once

#include <vector>

namespace ampturn::model {

/// Nodes in (-1, 1), ascending, and weights of the Gauss-Legendre rule of the given order (1 to 256).
/// Newton's method on the Legendre recurrence; a few ulp. Source: Abramowitz & Stegun (1964), 25.4.29.
struct GaussLegendre {
    std::vector<double> nodes, weights;
};
GaussLegendre gauss_legendre(int order);

}  // namespace ampturn::model
