#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/loop/loop.hpp"

namespace ampturn::model::loop {

namespace {

LoopPoint sum_of_cross(std::span<const LoopPoint> v) {  // Newell's normal, length 2 * area
    LoopPoint n{0, 0, 0};
    for (std::size_t i = 0; i < v.size(); ++i) {
        const LoopPoint& a = v[i];
        const LoopPoint& b = v[(i + 1) % v.size()];
        n.x_m += (a.y_m - b.y_m) * (a.z_m + b.z_m);
        n.y_m += (a.z_m - b.z_m) * (a.x_m + b.x_m);
        n.z_m += (a.x_m - b.x_m) * (a.y_m + b.y_m);
    }
    return n;
}
double size_of(const LoopPoint& p) { return distance_m(p, {}); }

// Twice the area of the triangle pqr, positive when it turns to the left seen against the normal.
double turn(const LoopPoint& p, const LoopPoint& q, const LoopPoint& r, const LoopPoint& normal) {
    const double ux = q.x_m - p.x_m, uy = q.y_m - p.y_m, uz = q.z_m - p.z_m;
    const double vx = r.x_m - p.x_m, vy = r.y_m - p.y_m, vz = r.z_m - p.z_m;
    return (uy * vz - uz * vy) * normal.x_m + (uz * vx - ux * vz) * normal.y_m +
           (ux * vy - uy * vx) * normal.z_m;
}

bool within_box(const LoopPoint& a, const LoopPoint& b, const LoopPoint& p) {
    const auto between = [](double u, double v, double w) {
        return std::min(u, v) <= w && w <= std::max(u, v);
    };
    return between(a.x_m, b.x_m, p.x_m) && between(a.y_m, b.y_m, p.y_m) && between(a.z_m, b.z_m, p.z_m);
}

bool sides_meet(const LoopPoint& a, const LoopPoint& b, const LoopPoint& c, const LoopPoint& d,
                const LoopPoint& normal) {
    const double of_a = turn(c, d, a, normal), of_b = turn(c, d, b, normal);
    const double of_c = turn(a, b, c, normal), of_d = turn(a, b, d, normal);
    if (of_a * of_b < 0 && of_c * of_d < 0) return true;
    return (of_a == 0 && within_box(c, d, a)) || (of_b == 0 && within_box(c, d, b)) ||
           (of_c == 0 && within_box(a, b, c)) || (of_d == 0 && within_box(a, b, d));
}

// Area centroid of a polygon in its own z = 0 plane.
LoopPoint centroid_of(std::span<const LoopPoint> polygon) {
    double area2 = 0, x = 0, y = 0;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const LoopPoint& a = polygon[i];
        const LoopPoint& b = polygon[(i + 1) % polygon.size()];
        const double w = a.x_m * b.y_m - b.x_m * a.y_m;
        area2 += w;
        x += w * (a.x_m + b.x_m) / 3;
        y += w * (a.y_m + b.y_m) / 3;
    }
    return {x / area2, y / area2, 0};
}

LoopOutline outline_of(std::vector<LoopPoint> vertices) {
    LoopOutline o;
    o.vertices = std::move(vertices);
    return o;
}

}  // namespace

double LoopOutline::area_m2() const {
    return is_circle() ? pi * circle_radius_m * circle_radius_m : size_of(sum_of_cross(vertices)) / 2;
}

// Of standard libraries each has its own hypot() of three; that of two is everywhere the same (.ci/cmake/maths.cmake).
double distance_m(const LoopPoint& a, const LoopPoint& b) {
    return std::hypot(std::hypot(b.x_m - a.x_m, b.y_m - a.y_m), b.z_m - a.z_m);
}

double LoopOutline::perimeter_m() const {
    if (is_circle()) return 2 * pi * circle_radius_m;
    double sum = 0;
    for (std::size_t i = 0; i < vertices.size(); ++i) {
        const LoopPoint& a = vertices[i];
        const LoopPoint& b = vertices[(i + 1) % vertices.size()];
        sum += distance_m(a, b);
    }
    return sum;
}

LoopPoint LoopOutline::normal() const {
    if (is_circle()) return {0, 0, 1};
    const LoopPoint n = sum_of_cross(vertices);
    const double s = size_of(n);
    return {n.x_m / s, n.y_m / s, n.z_m / s};
}

LoopPoint LoopOutline::centroid() const { return is_circle() ? LoopPoint{0, 0, 0} : centroid_of(vertices); }

double LoopOutline::reach_m() const {
    const LoopPoint centre = centroid();
    double reach_m = circle_radius_m;
    for (const LoopPoint& p : vertices)
        reach_m = std::max(reach_m, std::hypot(p.x_m - centre.x_m, p.y_m - centre.y_m));
    return reach_m;
}

double LoopOutline::drop_m() const {
    const LoopPoint centre = centroid();
    double drop_m = circle_radius_m;
    for (const LoopPoint& p : vertices) drop_m = std::max(drop_m, centre.y_m - p.y_m);
    return drop_m;
}

LoopOutline circle_outline(double radius_m) {
    check_range(radius_m, "radius_m", more_than(0));
    LoopOutline o;
    o.circle_radius_m = radius_m;
    return o;
}

LoopOutline square_outline(double side_m) { return rectangle_outline(side_m, side_m); }

LoopOutline rectangle_outline(double width_m, double height_m) {
    check_range(width_m, "width_m", more_than(0));
    check_range(height_m, "height_m", more_than(0));
    const double x = width_m / 2;
    const double y = height_m / 2;
    return outline_of({{-x, -y, 0}, {x, -y, 0}, {x, y, 0}, {-x, y, 0}});
}

LoopOutline rhombus_outline(double diagonal1_m, double diagonal2_m) {
    check_range(diagonal1_m, "diagonal1_m", more_than(0));
    check_range(diagonal2_m, "diagonal2_m", more_than(0));
    const double x = diagonal1_m / 2;
    const double y = diagonal2_m / 2;
    return outline_of({{x, 0, 0}, {0, y, 0}, {-x, 0, 0}, {0, -y, 0}});
}

LoopOutline triangle_outline(double base_m, double height_m) {
    check_range(base_m, "base_m", more_than(0));
    check_range(height_m, "height_m", more_than(0));
    return outline_of(
        {{-base_m / 2, -height_m / 3, 0}, {base_m / 2, -height_m / 3, 0}, {0, 2 * height_m / 3, 0}});
}

LoopOutline regular_polygon_outline(int sides, double side_m) {
    check_range(sides, "sides", 3, 360);
    check_range(side_m, "side_m", more_than(0));
    const double radius = side_m / (2 * std::sin(pi / sides));
    std::vector<LoopPoint> v;
    v.reserve(static_cast<std::size_t>(sides));
    for (int i = 0; i < sides; ++i) {
        const double angle = pi * (-0.5 + (2 * i - 1.0) / sides);  // the first two at the lower corners
        v.push_back({radius * std::cos(angle), radius * std::sin(angle), 0});
    }
    return outline_of(std::move(v));
}

std::optional<std::size_t> side_that_meets_another(std::span<const LoopPoint> v, const LoopPoint& normal) {
    for (std::size_t i = 0; i < v.size(); ++i)
        for (std::size_t j = i + 2; j < v.size(); ++j) {
            if (i == 0 && j + 1 == v.size()) continue;  // neighbours
            if (sides_meet(v[i], v[i + 1], v[j], v[(j + 1) % v.size()], normal)) return j;
        }
    return std::nullopt;
}

LoopOutline polygon_outline(std::vector<LoopPoint> vertices) {
    check_range(static_cast<double>(vertices.size()), "vertices", at_least(3));
    LoopOutline o = outline_of(std::move(vertices));
    const auto& v = o.vertices;
    const double size = o.perimeter_m();
    if (!(o.area_m2() > 1e-9 * size * size)) throw RangeError("vertices", "no area", "corners of an area");
    const LoopPoint n = o.normal();
    for (std::size_t i = 0; i < v.size(); ++i) {
        const LoopPoint& next = v[(i + 1) % v.size()];
        const double off =
            (v[i].x_m - v[0].x_m) * n.x_m + (v[i].y_m - v[0].y_m) * n.y_m + (v[i].z_m - v[0].z_m) * n.z_m;
        check_range(std::abs(off), "vertex.off_plane_m", at_most(1e-6 * size), i);
        const double side = distance_m(v[i], next);
        if (!(side > 1e-9 * size))
            throw RangeError("vertices", "two in the same place", "corners apart from each other", i);
    }
    const auto second = side_that_meets_another(v, n);
    if (second)
        throw RangeError("vertices", "side " + std::to_string(*second + 1) + " meets another",
                         "an outline that does not touch or cross itself", *second);
    return o;
}

std::vector<TurnPosition> hexagonal_bundle(int turns, double pitch_m) {
    struct Site {
        double x, y, r2, angle;
    };
    const int rings = 2 + static_cast<int>(std::ceil(std::sqrt(turns / 3.0)));
    std::vector<Site> sites;
    for (int i = -rings; i <= rings; ++i)
        for (int j = -rings; j <= rings; ++j) {
            const double x = i + j / 2.0;
            const double y = j * std::sqrt(0.75);
            // r^2 of a triangular lattice is the whole number i^2 + ij + j^2: ties compare exactly.
            sites.push_back({x, y, static_cast<double>(i * i + i * j + j * j), std::atan2(y, x)});
        }
    std::sort(sites.begin(), sites.end(),
              [](const Site& a, const Site& b) { return a.r2 != b.r2 ? a.r2 < b.r2 : a.angle < b.angle; });
    std::vector<TurnPosition> out;
    double mean_x = 0, mean_y = 0;
    for (int i = 0; i < turns; ++i) {
        const Site& s = sites[static_cast<std::size_t>(i)];
        out.push_back({s.x * pitch_m, s.y * pitch_m});
        mean_x += s.x * pitch_m / turns;
        mean_y += s.y * pitch_m / turns;
    }
    for (TurnPosition& t : out) {
        t.outward_m -= mean_x;
        t.along_normal_m -= mean_y;
    }
    return out;
}

std::vector<LoopPoint> placed_vertices(const LoopDesign& loop) {
    std::vector<LoopPoint> own = loop.outline.vertices;
    if (loop.outline.is_circle()) {
        // Sides of the polygon with the circle's area, so that the moment is right.
        constexpr int sides = 128;
        const double radius =
            loop.outline.circle_radius_m * std::sqrt(2 * pi / sides / std::sin(2 * pi / sides));
        for (int i = 0; i < sides; ++i)
            own.push_back({radius * std::cos(2 * pi * i / sides), radius * std::sin(2 * pi * i / sides), 0});
    }
    const LoopPoint centre = centroid_of(own);
    const double azimuth = loop.normal_azimuth_deg * pi / 180;
    const double tilt = loop.tilt_deg * pi / 180;
    const std::array<double, 3> along{std::sin(azimuth), -std::cos(azimuth), 0};
    const std::array<double, 3> up{std::cos(azimuth) * std::sin(tilt), std::sin(azimuth) * std::sin(tilt),
                                   -std::cos(tilt)};
    std::vector<LoopPoint> out;
    for (const LoopPoint& p : own) {
        const double u = p.x_m - centre.x_m;
        const double w = p.y_m - centre.y_m;
        out.push_back({u * along[0] + w * up[0], u * along[1] + w * up[1],
                       u * along[2] + w * up[2] - loop.centre_height_m});
    }
    return out;
}

}  // namespace ampturn::model::loop
