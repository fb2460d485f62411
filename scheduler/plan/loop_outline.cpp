#include "scheduler/plan/loop_outline.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace ampturn::plan {

namespace {

using Point = std::array<double, 2>;
using Outline = std::vector<Point>;

// Regular polygon that stands on a side, clockwise from the upper left end of its lowest side.
Outline regular(int corners, double radius_m) {
    Outline outline;
    for (int i = 0; i < corners; ++i) {
        const double angle = std::numbers::pi * (-0.5 - (2.0 * i + 1.0) / corners);
        outline.push_back({radius_m * std::cos(angle), radius_m * std::sin(angle)});
    }
    return outline;
}

Outline box(double width_m, double height_m) {
    const double w = width_m / 2;
    const double h = height_m / 2;
    return {{-w, -h}, {-w, h}, {w, h}, {w, -h}};
}

Outline raw_outline(const Loop& loop) {
    constexpr int circle_corners = 64;
    switch (loop.shape) {
        case LoopShape::square:
            return box(loop.side_m, loop.side_m);
        case LoopShape::rectangle:
            return box(loop.width_m, loop.height_m);
        case LoopShape::rhombus:
            return {{0, -loop.height_m / 2},
                    {-loop.width_m / 2, 0},
                    {0, loop.height_m / 2},
                    {loop.width_m / 2, 0}};
        case LoopShape::triangle:
            return {{-loop.width_m / 2, 0}, {0, loop.height_m}, {loop.width_m / 2, 0}};
        case LoopShape::regular_polygon:
            return regular(loop.corners, loop.side_m / (2 * std::sin(std::numbers::pi / loop.corners)));
        case LoopShape::circle:
            return regular(circle_corners, loop.diameter_m / 2);
        case LoopShape::polygon:
            return loop.vertices_m;
    }
    return {};
}

double cross(const Point& o, const Point& a, const Point& b) {
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
}

bool within_box(const Point& a, const Point& b, const Point& p) {
    return std::min(a[0], b[0]) <= p[0] && p[0] <= std::max(a[0], b[0]) && std::min(a[1], b[1]) <= p[1] &&
           p[1] <= std::max(a[1], b[1]);
}

bool touch(const Point& a, const Point& b, const Point& c, const Point& d) {
    const double d1 = cross(c, d, a);
    const double d2 = cross(c, d, b);
    const double d3 = cross(a, b, c);
    const double d4 = cross(a, b, d);
    if (((d1 > 0 && d2 < 0) || (d1 < 0 && d2 > 0)) && ((d3 > 0 && d4 < 0) || (d3 < 0 && d4 > 0))) return true;
    return (d1 == 0 && within_box(c, d, a)) || (d2 == 0 && within_box(c, d, b)) ||
           (d3 == 0 && within_box(a, b, c)) || (d4 == 0 && within_box(a, b, d));
}

Point centroid(const Outline& outline) {
    double area2 = 0;
    Point sum{0, 0};
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const Point& p = outline[i];
        const Point& q = outline[(i + 1) % outline.size()];
        const double part = p[0] * q[1] - q[0] * p[1];
        area2 += part;
        sum[0] += (p[0] + q[0]) * part;
        sum[1] += (p[1] + q[1]) * part;
    }
    return {sum[0] / (3 * area2), sum[1] / (3 * area2)};
}

}  // namespace

double outline_area_m2(const Outline& outline_m) {
    double area2 = 0;
    for (std::size_t i = 0; i < outline_m.size(); ++i) {
        const Point& p = outline_m[i];
        const Point& q = outline_m[(i + 1) % outline_m.size()];
        area2 += q[0] * p[1] - p[0] * q[1];
    }
    return area2 / 2;
}

bool outline_crosses_itself(const Outline& outline_m) {
    const std::size_t n = outline_m.size();
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = i + 1; j < n; ++j) {
            const bool neighbours = j == i + 1 || (i == 0 && j == n - 1);
            if (!neighbours &&
                touch(outline_m[i], outline_m[(i + 1) % n], outline_m[j], outline_m[(j + 1) % n]))
                return true;
        }
    return false;
}

Outline loop_outline_m(const Loop& loop) {
    Outline outline = raw_outline(loop);
    if (outline_area_m2(outline) < 0) std::reverse(outline.begin(), outline.end());
    const Point centre = centroid(outline);
    for (Point& point : outline) {
        point[0] -= centre[0];
        point[1] -= centre[1];
    }
    return outline;
}

double loop_reach_m(const Loop& loop) {
    double reach_m = 0;
    for (const Point& point : loop_outline_m(loop))
        reach_m = std::max(reach_m, std::hypot(point[0], point[1]));
    return reach_m;
}

double loop_drop_m(const Loop& loop) {
    double lowest_m = 0;
    for (const Point& point : loop_outline_m(loop)) lowest_m = std::min(lowest_m, point[1]);
    return -lowest_m * std::abs(std::cos(loop.tilt_deg * std::numbers::pi / 180));
}

}  // namespace ampturn::plan
