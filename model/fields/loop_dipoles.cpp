#include "model/fields/loop_dipoles.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "model/base/check_range.hpp"
#include "model/base/gauss_legendre.hpp"
#include "model/fields/polygon_rule.hpp"

namespace ampturn::model::fields {

namespace {

using Point = std::array<double, 3>;

Point operator+(const Point& a, const Point& b) { return {a[0] + b[0], a[1] + b[1], a[2] + b[2]}; }
Point operator-(const Point& a, const Point& b) { return {a[0] - b[0], a[1] - b[1], a[2] - b[2]}; }
Point operator*(double s, const Point& a) { return {s * a[0], s * a[1], s * a[2]}; }
double dot(const Point& a, const Point& b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }
double length(const Point& a) { return std::sqrt(dot(a, a)); }
Point cross(const Point& a, const Point& b) {
    return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}

/// A corner and two sides from it: a parallelogram, or the triangle that is half of it.
struct Cell {
    Point corner, side_1, side_2;
    bool triangle;

    Point centre() const { return corner + (triangle ? 1.0 / 3 : 0.5) * (side_1 + side_2); }
    double radius() const {
        const Point c = centre();
        double result =
            std::max({length(corner - c), length(corner + side_1 - c), length(corner + side_2 - c)});
        if (!triangle) result = std::max(result, length(corner + side_1 + side_2 - c));
        return result;
    }
};

std::vector<Cell> cells_of(const Loop& loop) {
    const std::vector<Point>& v = loop.vertices_xyz_m;
    if (v.size() == 4) {
        const double size = length(v[2] - v[0]) + length(v[3] - v[1]);
        if (length((v[0] + v[2]) - (v[1] + v[3])) < 1e-12 * size)
            return {{v[0], v[1] - v[0], v[3] - v[0], false}};
    }
    std::vector<Cell> cells;
    for (std::size_t i = 1; i + 1 < v.size(); ++i)
        cells.push_back({v[0], v[i] - v[0], v[i + 1] - v[0], true});
    return cells;
}

/// By the order of the corners, whatever flows around them.
Point area_m2(const Loop& loop) {
    Point area{0, 0, 0};
    for (const Cell& cell : cells_of(loop))
        area = area + (cell.triangle ? 0.5 : 1.0) * cross(cell.side_1, cell.side_2);
    return area;
}

/// A cell this many radii from its centre to the receiver is small: order 8 leaves (2.5 + sqrt(5.25))^-16 = 1e-11.
constexpr double small_ratio = 2.5;

/// Appends the parallelogram, or its quarters, until each is small against its distance to the point.
void refine(const Cell& cell, const Point& point, int depth, std::vector<Cell>& out) {
    if (depth == 0 || length(point - cell.centre()) >= small_ratio * cell.radius()) {
        out.push_back(cell);
        return;
    }
    const Point h1 = 0.5 * cell.side_1, h2 = 0.5 * cell.side_2;
    for (const Point& shift : {Point{0, 0, 0}, h1, h2, h1 + h2})
        refine({cell.corner + shift, h1, h2, false}, point, depth - 1, out);
}

}  // namespace

void check_loop(const Loop& loop) {
    const std::size_t n = loop.vertices_xyz_m.size();
    if (n < 3 || n > 64)
        throw RangeError("loop.vertices", static_cast<double>(n), {.lowest = 3, .highest = 64});
    for (std::size_t i = 0; i < n; ++i) {
        check_range(loop.vertices_xyz_m[i][0], "loop.vertex.x_m", -2e4, 2e4, i);
        check_range(loop.vertices_xyz_m[i][1], "loop.vertex.y_m", -2e4, 2e4, i);
        check_range(loop.vertices_xyz_m[i][2], "loop.vertex.z_m", -1000, 0, i);
    }
    check_range(loop.turns, "loop.turns", 1e-6, 1e4);
    check_range(loop.current_a, "loop.current_a", -1e6, 1e6);
    if (loop.current_a != 0 && std::abs(loop.current_a) < least_strength)
        throw RangeError("loop.current_a", "next to nothing", "none, or at least 1e-60");
    Point area{0, 0, 0};
    for (const Cell& cell : cells_of(loop)) area = area + cross(cell.side_1, cell.side_2);
    if (!(length(area) > 1e-9 * loop_radius_m(loop) * loop_radius_m(loop)))
        throw RangeError("loop.vertices", "no area", "corners of an area");
    const Point normal = (1 / length(area)) * area;
    for (std::size_t i = 0; i < n; ++i) {
        const double off = dot(loop.vertices_xyz_m[i] - loop.vertices_xyz_m[0], normal);
        if (std::abs(off) > 1e-6 * loop_radius_m(loop))
            throw RangeError("loop.vertex.off_plane_m", std::abs(off), at_most(1e-6 * loop_radius_m(loop)),
                             i);
    }
}

double loop_radius_m(const Loop& loop) {
    Point centre{0, 0, 0};
    for (const Point& v : loop.vertices_xyz_m)
        centre = centre + (1 / static_cast<double>(loop.vertices_xyz_m.size())) * v;
    double radius = 0;
    for (const Point& v : loop.vertices_xyz_m) radius = std::max(radius, length(v - centre));
    return radius;
}

double distance_to_wire_m(const Loop& loop, const Receiver& receiver) {
    const Point p{receiver.x_m, receiver.y_m, receiver.z_m};
    double distance = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < loop.vertices_xyz_m.size(); ++i) {
        const Point a = loop.vertices_xyz_m[i];
        const Point side = loop.vertices_xyz_m[(i + 1) % loop.vertices_xyz_m.size()] - a;
        const double t = dot(side, side) > 0 ? std::clamp(dot(p - a, side) / dot(side, side), 0.0, 1.0) : 0;
        distance = std::min(distance, length(p - (a + t * side)));
    }
    return distance;
}

Dipole loop_as_dipole(const Loop& loop) {
    const Point area = area_m2(loop);
    // Centroid weighted by signed area: the first moment about it vanishes.
    Point centre{0, 0, 0};
    for (const Cell& cell : cells_of(loop)) {
        const Point a = cross(cell.side_1, cell.side_2);
        const double signed_area = (cell.triangle ? 0.5 : 1.0) * dot(a, area) / length(area);
        centre = centre + (signed_area / length(area)) * cell.centre();
    }
    return {.moment_a_m2 = loop.turns * loop.current_a * area,
            .height_m = std::max(0.0, -centre[2]),
            .x_m = centre[0],
            .y_m = centre[1]};
}

namespace {

/// Calls visit(point, weight) at the nodes of a rule over a parallelogram; weights add up to 1.
template <class Visit>
void visit_nodes(const Cell& cell, const GaussLegendre& rule, Visit visit) {
    for (std::size_t i = 0; i < rule.nodes.size(); ++i)
        for (std::size_t j = 0; j < rule.nodes.size(); ++j) {
            const double s = 0.5 * (1 + rule.nodes[i]), t = 0.5 * (1 + rule.nodes[j]);
            visit(cell.corner + s * cell.side_1 + t * cell.side_2, 0.25 * rule.weights[i] * rule.weights[j]);
        }
}

Dipole dipole_at(const Point& at, const Point& moment) {
    return {.moment_a_m2 = moment, .height_m = std::max(0.0, -at[2]), .x_m = at[0], .y_m = at[1]};
}

/// Appends the dipoles of a parallelogram; strength is turns times current.
void add_cell(const Cell& cell, double strength, const GaussLegendre& rule, std::vector<Dipole>& out) {
    const Point moment = strength * cross(cell.side_1, cell.side_2);
    visit_nodes(cell, rule,
                [&](const Point& at, double weight) { out.push_back(dipole_at(at, weight * moment)); });
}

/// Axes in the loop's plane: the first level, so that a rectangle along them keeps the polygon's range of heights.
struct PlaneFrame {
    Point origin, along, up, normal;

    explicit PlaneFrame(const Loop& loop) : origin(loop.vertices_xyz_m.front()), normal(area_m2(loop)) {
        normal = (1 / length(normal)) * normal;
        const Point level = cross({0, 0, 1}, normal);
        along = length(level) > 1e-9 ? (1 / length(level)) * level : Point{1, 0, 0};
        up = cross(normal, along);
    }
    Polygon polygon(const Loop& loop) const {
        Polygon result;
        for (const Point& v : loop.vertices_xyz_m)
            result.push_back({dot(v - origin, along), dot(v - origin, up)});
        return result;
    }
    PlaneView view(const Point& p) const {
        return {dot(p - origin, along), dot(p - origin, up), dot(p - origin, normal)};
    }
    Dipole dipole(const PlanePoint& p, double strength) const {
        return dipole_at(origin + p.x_m * along + p.y_m * up, (strength * p.weight_m2) * normal);
    }
};

}  // namespace

LoopQuadrature::LoopQuadrature(const Loop& loop)
    : loop_(loop), whole_(loop_as_dipole(loop)), radius_m_(loop_radius_m(loop)) {}

double LoopQuadrature::distance_m(const Receiver& receiver) const {
    const Point point{receiver.x_m, receiver.y_m, receiver.z_m};
    const Point centre{whole_.x_m, whole_.y_m, -whole_.height_m};
    return length(point - centre);
}

bool LoopQuadrature::is_parallelogram() const { return !cells_of(loop_).front().triangle; }

bool LoopQuadrature::is_far(const Receiver& receiver) const {
    return distance_m(receiver) >= small_ratio * radius_m_;
}

const std::vector<Dipole>& LoopQuadrature::far_dipoles(int order) {
    std::vector<Dipole>& dipoles = far_[order];
    if (!dipoles.empty()) return dipoles;
    const GaussLegendre rule = gauss_legendre(order);
    const std::vector<Cell> cells = cells_of(loop_);
    if (!cells.front().triangle) {
        add_cell(cells.front(), loop_.turns * loop_.current_a, rule, dipoles);
        return dipoles;
    }
    const PlaneFrame frame(loop_);
    for (const PlanePoint& p : polygon_rule(frame.polygon(loop_), rule))
        dipoles.push_back(frame.dipole(p, loop_.turns * loop_.current_a));
    return dipoles;
}

namespace {

bool is_level(const Point& side) { return side[2] == 0; }
bool is_plumb(const Point& side) { return side[0] == 0 && side[1] == 0; }

}  // namespace

double LoopQuadrature::column_half_height_m() const {
    const Cell cell = cells_of(loop_).front();
    if (cell.triangle) return 0;
    if (is_level(cell.side_1) && is_plumb(cell.side_2)) return std::abs(cell.side_2[2]) / 2;
    if (is_level(cell.side_2) && is_plumb(cell.side_1)) return std::abs(cell.side_1[2]) / 2;
    return 0;
}

std::vector<Dipole> LoopQuadrature::columns(int order) const {
    const Cell cell = cells_of(loop_).front();
    const bool along_first = is_level(cell.side_1);
    const Point &level = along_first ? cell.side_1 : cell.side_2,
                &plumb = along_first ? cell.side_2 : cell.side_1;
    const Point moment = loop_.turns * loop_.current_a * cross(cell.side_1, cell.side_2);
    const GaussLegendre rule = gauss_legendre(order);
    std::vector<Dipole> out;
    for (std::size_t i = 0; i < rule.nodes.size(); ++i)
        out.push_back(dipole_at(cell.corner + 0.5 * (1 + rule.nodes[i]) * level + 0.5 * plumb,
                                (0.5 * rule.weights[i]) * moment));
    return out;
}

std::vector<Dipole> LoopQuadrature::dipoles(int order, const Receiver& receiver) {
    if (is_far(receiver)) return far_dipoles(order);
    const Point point{receiver.x_m, receiver.y_m, receiver.z_m};
    const GaussLegendre rule = gauss_legendre(order);
    std::vector<Dipole> dipoles;
    const std::vector<Cell> whole = cells_of(loop_);
    if (!whole.front().triangle) {
        std::vector<Cell> cells;
        refine(whole.front(), point, 10, cells);
        for (const Cell& cell : cells) add_cell(cell, loop_.turns * loop_.current_a, rule, dipoles);
        return dipoles;
    }
    const PlaneFrame frame(loop_);
    for (const Polygon& piece : split_for(frame.polygon(loop_), frame.view(point), small_ratio))
        for (const PlanePoint& p : polygon_rule(piece, rule))
            dipoles.push_back(frame.dipole(p, loop_.turns * loop_.current_a));
    return dipoles;
}

bool inside_loop(const Loop& loop, const Receiver& receiver) {
    const PlaneFrame frame(loop);
    const PlaneView view = frame.view({receiver.x_m, receiver.y_m, receiver.z_m});
    if (std::abs(view.height_m) < 0.5 && contains(frame.polygon(loop), view.x_m, view.y_m)) return true;
    // Seen from above, an upright loop is a line.
    if (std::abs(frame.normal[2]) < 1e-6) return false;
    Polygon outline;
    for (const Point& v : loop.vertices_xyz_m) outline.push_back({v[0], v[1]});
    return contains(outline, receiver.x_m, receiver.y_m);
}

}  // namespace ampturn::model::fields
