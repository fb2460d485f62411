#include "scheduler/tune/dwell_allocation.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ampturn::tune {

namespace {

/// Half plane a u + b v <= c in u = 1/T_A, v = 1/T_B.
struct HalfPlane {
    double a, b, c;
};

struct Point {
    double u, v;
};

/// Rounding lets a point on an edge fall outside by this share.
constexpr double slack = 1e-12;

bool inside(const std::vector<HalfPlane>& planes, Point p) {
    return std::all_of(planes.begin(), planes.end(), [&](const HalfPlane& h) {
        return h.a * p.u + h.b * p.v <=
               h.c + slack * (std::fabs(h.a * p.u) + std::fabs(h.b * p.v) + std::fabs(h.c));
    });
}

/// Only half planes that touch the polygon from above right can hold the optimum: the cost falls with u and v.
std::optional<DwellPair> best_of(const std::vector<HalfPlane>& upper, const std::vector<HalfPlane>& all,
                                 const DwellPrice& price) {
    std::optional<DwellPair> best;
    double best_cost = std::numeric_limits<double>::infinity();
    const auto consider = [&](Point p) {
        if (!(p.u > 0 && p.v > 0 && std::isfinite(p.u) && std::isfinite(p.v)) || !inside(all, p)) return;
        const double cost = price.per_second_a / p.u + price.per_second_b / p.v;
        if (cost < best_cost) {
            best_cost = cost;
            best = DwellPair{1 / p.u, 1 / p.v};
        }
    };
    for (std::size_t i = 0; i < upper.size(); ++i) {
        const HalfPlane& h = upper[i];
        if (h.a > 0 && h.b > 0) {
            // Lagrange on the line: w_A/(u^2 a) = w_B/(v^2 b).
            const double root_a = std::sqrt(price.per_second_a * h.a),
                         root_b = std::sqrt(price.per_second_b * h.b);
            consider({h.c * std::sqrt(price.per_second_a / h.a) / (root_a + root_b),
                      h.c * std::sqrt(price.per_second_b / h.b) / (root_a + root_b)});
        }
        for (std::size_t j = 0; j < all.size(); ++j) {
            const HalfPlane& g = all[j];
            const double determinant = h.a * g.b - h.b * g.a;
            if (determinant == 0) continue;
            consider({(h.c * g.b - h.b * g.c) / determinant, (h.a * g.c - h.c * g.a) / determinant});
        }
    }
    return best;
}

}  // namespace

std::optional<DwellPair> cheapest_dwells(const std::vector<DwellRequirement>& requirements,
                                         const DwellPrice& price, const DwellBounds& bounds,
                                         double relaxation) {
    std::vector<HalfPlane> upper;
    for (const DwellRequirement& r : requirements) {
        if (!std::isfinite(r.a_s) || !std::isfinite(r.b_s)) return std::nullopt;
        upper.push_back({r.a_s, r.b_s, relaxation * relaxation});
    }
    upper.push_back({1, 0, 1 / bounds.lower_a_s});
    upper.push_back({0, 1, 1 / bounds.lower_b_s});
    // Thin out: a requirement another one implies cannot hold the optimum; the rest is small.
    std::vector<HalfPlane> kept;
    for (std::size_t i = 0; i < upper.size(); ++i) {
        const auto implies = [&](std::size_t j) {
            return j != i && upper[j].a * upper[i].c >= upper[i].a * upper[j].c &&
                   upper[j].b * upper[i].c >= upper[i].b * upper[j].c &&
                   (upper[j].a * upper[i].c > upper[i].a * upper[j].c ||
                    upper[j].b * upper[i].c > upper[i].b * upper[j].c || j < i);
        };
        bool implied = false;
        for (std::size_t j = 0; j < upper.size() && !implied; ++j) implied = implies(j);
        if (!implied) kept.push_back(upper[i]);
    }
    std::vector<HalfPlane> all = kept;
    all.push_back({-1, 0, -1 / bounds.upper_a_s});
    all.push_back({0, -1, -1 / bounds.upper_b_s});
    std::optional<DwellPair> best = best_of(kept, all, price);
    if (best) {  // what rounding did to a bound
        best->a_s = std::clamp(best->a_s, bounds.lower_a_s, bounds.upper_a_s);
        best->b_s = std::clamp(best->b_s, bounds.lower_b_s, bounds.upper_b_s);
    }
    return best;
}

double relaxation_of(const std::vector<DwellRequirement>& requirements, const DwellPair& dwells) {
    double worst = 0;
    for (const DwellRequirement& r : requirements)
        worst = std::max(worst, r.a_s / dwells.a_s + r.b_s / dwells.b_s);
    return std::sqrt(worst);
}

double least_relaxation(const std::vector<DwellRequirement>& requirements, const DwellBounds& bounds) {
    return relaxation_of(requirements, {bounds.upper_a_s, bounds.upper_b_s});
}

}  // namespace ampturn::tune
