#include "model/fields/polygon_rule.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace ampturn::model::fields {

namespace {

struct Rectangle {
    double centre_x, centre_y, half_x, half_y;
};

Rectangle around(const Polygon& polygon) {
    double low_x = polygon[0][0], high_x = low_x, low_y = polygon[0][1], high_y = low_y;
    for (const auto& [x, y] : polygon) {
        low_x = std::min(low_x, x);
        high_x = std::max(high_x, x);
        low_y = std::min(low_y, y);
        high_y = std::max(high_y, y);
    }
    return {0.5 * (low_x + high_x), 0.5 * (low_y + high_y), 0.5 * (high_x - low_x), 0.5 * (high_y - low_y)};
}

/// Lagrange polynomials of the nodes at x.
std::vector<double> lagrange(const std::vector<double>& nodes, double x) {
    std::vector<double> result(nodes.size(), 1.0);
    for (std::size_t k = 0; k < nodes.size(); ++k)
        for (std::size_t j = 0; j < nodes.size(); ++j)
            if (j != k) result[k] *= (x - nodes[j]) / (nodes[k] - nodes[j]);
    return result;
}

/// The part of the polygon where side * (coordinate - cut) >= 0 (Sutherland & Hodgman 1974; from memory).
Polygon clipped(const Polygon& polygon, std::size_t axis, double cut, double side) {
    Polygon result;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const auto& a = polygon[i];
        const auto& b = polygon[(i + 1) % polygon.size()];
        const double at_a = side * (a[axis] - cut), at_b = side * (b[axis] - cut);
        if (at_a >= 0) result.push_back(a);
        if ((at_a > 0 && at_b < 0) || (at_a < 0 && at_b > 0)) {
            const double t = at_a / (at_a - at_b);
            std::array<double, 2> p{a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])};
            p[axis] = cut;
            result.push_back(p);
        }
    }
    return result;
}

void split(const Polygon& polygon, const PlaneView& from, double ratio, int depth,
           std::vector<Polygon>& out) {
    if (polygon.size() < 3) return;
    const Rectangle r = around(polygon);
    if (r.half_x == 0 || r.half_y == 0) return;  // only edges there and back
    const double distance =
        std::hypot(std::hypot(from.x_m - r.centre_x, from.y_m - r.centre_y), from.height_m);
    if (depth == 0 || distance >= ratio * std::hypot(r.half_x, r.half_y)) {
        out.push_back(polygon);
        return;
    }
    const std::size_t axis = r.half_x >= r.half_y ? 0 : 1;
    const double cut = axis == 0 ? r.centre_x : r.centre_y;
    for (const double side : {-1.0, 1.0})
        split(clipped(polygon, axis, cut, side), from, ratio, depth - 1, out);
}

}  // namespace

bool contains(const Polygon& polygon, double x_m, double y_m) {
    bool inside = false;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const auto& [ax, ay] = polygon[i];
        const auto& [bx, by] = polygon[(i + 1) % polygon.size()];
        if ((ay > y_m) != (by > y_m) && x_m < ax + (y_m - ay) * (bx - ax) / (by - ay)) inside = !inside;
    }
    return inside;
}

std::vector<PlanePoint> polygon_rule(const Polygon& polygon, const GaussLegendre& rule) {
    const Rectangle r = around(polygon);
    const std::size_t n = rule.nodes.size();
    std::vector<double> weights(n * n, 0.0);
    const auto& [x0, y0] = polygon[0];
    for (std::size_t corner = 1; corner + 1 < polygon.size(); ++corner) {
        const double ax = polygon[corner][0] - x0, ay = polygon[corner][1] - y0;
        const double bx = polygon[corner + 1][0] - x0, by = polygon[corner + 1][1] - y0;
        const double doubled_area = ax * by - ay * bx;
        if (doubled_area == 0) continue;
        // A square collapsed to the triangle: s from the corner, t across.
        for (std::size_t i = 0; i < n; ++i)
            for (std::size_t j = 0; j < n; ++j) {
                const double s = 0.5 * (1 + rule.nodes[i]), t = 0.5 * (1 + rule.nodes[j]);
                const double share = 0.25 * rule.weights[i] * rule.weights[j] * s * doubled_area;
                const double x = x0 + s * ((1 - t) * ax + t * bx), y = y0 + s * ((1 - t) * ay + t * by);
                const std::vector<double> in_x = lagrange(rule.nodes, (x - r.centre_x) / r.half_x);
                const std::vector<double> in_y = lagrange(rule.nodes, (y - r.centre_y) / r.half_y);
                for (std::size_t k = 0; k < n; ++k)
                    for (std::size_t l = 0; l < n; ++l) weights[k * n + l] += share * in_x[k] * in_y[l];
            }
    }
    std::vector<PlanePoint> points;
    for (std::size_t k = 0; k < n; ++k)
        for (std::size_t l = 0; l < n; ++l)
            points.push_back({r.centre_x + rule.nodes[k] * r.half_x, r.centre_y + rule.nodes[l] * r.half_y,
                              weights[k * n + l]});
    return points;
}

std::vector<Polygon> split_for(const Polygon& polygon, const PlaneView& from, double ratio) {
    std::vector<Polygon> pieces;
    split(polygon, from, ratio, 20, pieces);
    return pieces;
}

}  // namespace ampturn::model::fields
