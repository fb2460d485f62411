#pragma once

#include <optional>
#include <vector>

namespace ampturn::tune {

/// Dwells of the two polarisations of each frequency that fulfil every requirement at the least cost, or
/// within a budget of time, energy or both with the targets relaxed as little as possible.
///
/// One frequency: minimise w_A T_A + w_B T_B subject to a_k/T_A + b_k/T_B <= q^2 for all k and lower <= T <=
/// upper. In u = 1/T the requirements are half planes and the cost is strictly convex, so the optimum lies on
/// one edge or in one corner of a convex polygon: it is found exactly, from the list of edges and corners,
/// without iteration. On a single edge T_A = a + sqrt(a b w_B/w_A), T_B = b + sqrt(a b w_A/w_B).
/// Sources: Boyd & Vandenberghe (2004), Convex Optimization, ch. 4 and 5 (optimality conditions, duality).

struct DwellRequirement {
    double a_s, b_s;  // >= 0, not both 0
};

/// What one second costs: the price of the two loops' seconds.
struct DwellPrice {
    double per_second_a, per_second_b;  // > 0
};

struct DwellBounds {
    double lower_a_s, upper_a_s, lower_b_s, upper_b_s;  // 0 < lower <= upper
};

struct DwellPair {
    double a_s, b_s;
};

/// The cheapest dwells at relaxation q >= 1 (error bars may be q times their targets); empty when even the
/// upper bounds do not fulfil a requirement. Without requirements: the lower bounds.
std::optional<DwellPair> cheapest_dwells(const std::vector<DwellRequirement>& requirements,
                                         const DwellPrice& price, const DwellBounds& bounds,
                                         double relaxation = 1);

/// The smallest relaxation the upper bounds can fulfil; 0 without requirements.
double least_relaxation(const std::vector<DwellRequirement>& requirements, const DwellBounds& bounds);

/// The relaxation that given dwells fulfil: sqrt(max_k(a_k/T_A + b_k/T_B)); 0 without requirements.
double relaxation_of(const std::vector<DwellRequirement>& requirements, const DwellPair& dwells);

}  // namespace ampturn::tune
