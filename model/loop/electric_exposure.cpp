#include "model/loop/electric_exposure.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/base/root.hpp"
#include "model/loop/loop_vector.hpp"

namespace ampturn::model::loop {

namespace {

LoopPoint mirrored(const LoopPoint& p) { return {p.x_m, p.y_m, -p.z_m}; }

// Integral of 1/distance over a side: the potential of a uniform line charge, and of a current.
double over_distance(const LoopPoint& from, const LoopPoint& to, const LoopPoint& at) {
    const double r1 = size(minus(at, from)), r2 = size(minus(at, to)), length = size(minus(to, from));
    return std::log((r1 + r2 + length) / std::max(r1 + r2 - length, 1e-12 * length));
}

double distance_to_side(const LoopPoint& from, const LoopPoint& to, const LoopPoint& at) {
    const LoopPoint side = minus(to, from);
    const double share = std::clamp(dot(minus(at, from), side) / dot(side, side), 0.0, 1.0);
    return size(minus(at, along(from, side, share)));
}

double distance_to_wire(const std::vector<std::vector<LoopPoint>>& polygons, const LoopPoint& at) {
    double out = std::numeric_limits<double>::infinity();
    for (const std::vector<LoopPoint>& v : polygons)
        for (std::size_t i = 0; i < v.size(); ++i)
            out = std::min(out, distance_to_side(v[i], v[(i + 1) % v.size()], at));
    return out;
}

}  // namespace

double icnirp2010_level_v_per_m(ExposureGroup group, double f) {
    if (!(f >= 1 && f <= 1e7)) return std::numeric_limits<double>::quiet_NaN();
    if (group == ExposureGroup::general_public) {
        if (f < 50) return 5000;
        return f < 3000 ? 2.5e5 / f : 83;
    }
    if (f < 25) return 20'000;
    return f < 3000 ? 5e5 / f : 170;
}

ChargedLoop::ChargedLoop(std::vector<LoopPoint> vertices, double radius_m) : vertices_(std::move(vertices)) {
    check_range(radius_m, "radius_m", more_than(0));
    double lowest_m = std::numeric_limits<double>::infinity();
    for (const LoopPoint& v : vertices_) lowest_m = std::min(lowest_m, -v.z_m);
    const double lift_m = std::max(0.0, 2 * radius_m - lowest_m);
    for (LoopPoint& v : vertices_) v.z_m -= lift_m;

    struct Side {
        LoopPoint from, to;
    };
    struct Piece {
        Side wire, image;
    };
    std::vector<Piece> pieces;
    const std::size_t cuts = std::max<std::size_t>(1, 48 / vertices_.size());
    for (std::size_t i = 0; i < vertices_.size(); ++i) {
        const LoopPoint side = minus(vertices_[(i + 1) % vertices_.size()], vertices_[i]);
        for (std::size_t k = 0; k < cuts; ++k) {
            const auto parts = static_cast<double>(cuts), from = static_cast<double>(k);
            const LoopPoint start = along(vertices_[i], side, from / parts),
                            end = along(vertices_[i], side, (from + 1) / parts);
            pieces.push_back({.wire = {start, end}, .image = {mirrored(start), mirrored(end)}});
        }
    }
    // One volt on the bundle's surface at the middle of every piece, a radius off, level and across.
    const auto count = static_cast<Eigen::Index>(pieces.size());
    Eigen::MatrixXd potential(count, count);
    for (Eigen::Index row = 0; row < count; ++row) {
        const Side& wire = pieces[static_cast<std::size_t>(row)].wire;
        const LoopPoint side = minus(wire.to, wire.from);
        LoopPoint at = along(wire.from, side, 0.5);
        const double level = std::hypot(side.x_m, side.y_m);
        if (level > 1e-9 * size(side))
            at = along(at, {-side.y_m / level, side.x_m / level, 0}, radius_m);
        else
            at.x_m += radius_m;
        for (Eigen::Index column = 0; column < count; ++column) {
            const Piece& q = pieces[static_cast<std::size_t>(column)];
            potential(row, column) =
                over_distance(q.wire.from, q.wire.to, at) - over_distance(q.image.from, q.image.to, at);
        }
    }
    const Eigen::VectorXd charge = potential.partialPivLu().solve(Eigen::VectorXd::Ones(count));
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const double q = charge(static_cast<Eigen::Index>(i));
        sides_.add(pieces[i].wire.from, pieces[i].wire.to, q);
        sides_.add(pieces[i].image.from, pieces[i].image.to, -q);
        charge_m_ += q * size(minus(pieces[i].wire.to, pieces[i].wire.from));
    }
    sides_.finish();
}

double ChargedLoop::capacitance_f() const { return 4 * pi * eps0_f_per_m * charge_m_; }

double ChargedLoop::field_per_volt(const LoopPoint& at) const { return sides_.field(at); }

double ChargedLoop::vector_potential_per_ampere(const LoopPoint& at) const {
    LoopPoint sum{0, 0, 0};
    for (std::size_t i = 0; i < vertices_.size(); ++i) {
        const LoopPoint &a = vertices_[i], &b = vertices_[(i + 1) % vertices_.size()];
        const LoopPoint side = minus(b, a);
        sum = along(sum, side, over_distance(a, b, at) / size(side));
    }
    return mu0_h_per_m / (4 * pi) * size(sum);
}

double outer_bundle_radius_m(int turns, double pitch_m) { return (std::sqrt(turns) + 1) / 2 * pitch_m; }

double index_distance_m(const std::vector<std::vector<LoopPoint>>& polygons,
                        const std::function<double(const LoopPoint&)>& index) {
    LoopPoint middle{0, 0, 0};
    double count = 0, reach = 0;
    for (const auto& v : polygons)
        for (const LoopPoint& p : v) middle = along(middle, p, 1), ++count;
    middle = {middle.x_m / count, middle.y_m / count, middle.z_m / count};
    for (const auto& v : polygons)
        for (const LoopPoint& p : v) reach = std::max(reach, size(minus(p, middle)));

    // Largest distance from the wire along a ray at which the index is reached.
    const auto along_ray = [&](double azimuth, double elevation) {
        const LoopPoint u{std::cos(elevation) * std::cos(azimuth), std::cos(elevation) * std::sin(azimuth),
                          -std::sin(elevation)};
        const auto at = [&](double t) { return along(middle, u, t); };
        const double ground = u.z_m > 0 ? -middle.z_m / u.z_m : std::numeric_limits<double>::infinity();
        double out = 0, before = 0, f_before = index(at(0)) - 1;
        if (f_before >= 0) out = distance_to_wire(polygons, at(0));
        int below = 0;  // steps beyond the loop without reaching it
        for (double t = reach / 20; below < 8 && t < ground && before < ground;
             t += std::max(reach / 20, 0.1 * (t - reach))) {
            const double f = index(at(t)) - 1;
            double edge = t;
            if (f_before >= 0 && f < 0)
                edge = bracketed_root([&](double s) { return index(at(s)) - 1; }, before, t, f_before, f,
                                      1e-9 * t);
            if (f >= 0 || f_before >= 0) out = std::max(out, distance_to_wire(polygons, at(edge)));
            below = f < 0 && t > reach ? below + 1 : 0;
            before = t;
            f_before = f;
        }
        return out;
    };
    struct Ray {
        double distance_m, azimuth, elevation;
    };
    constexpr double step = 15 * pi / 180;
    std::vector<Ray> rays;
    for (int i = 0; i < 24; ++i)
        for (int k = -6; k <= 6; ++k) rays.push_back({along_ray(i * step, k * step), i * step, k * step});
    std::stable_sort(rays.begin(), rays.end(),
                     [](const Ray& x, const Ray& y) { return x.distance_m > y.distance_m; });
    constexpr std::size_t refined = 6;
    double best = 0;
    for (std::size_t r = 0; r < refined; ++r) {
        Ray ray = rays[r];
        for (const int part : {2, 4, 8, 16}) {
            const double finer = step / part;
            const Ray centre = ray;
            for (const int i : {-1, 0, 1})
                for (const int k : {-1, 0, 1}) {
                    if (i == 0 && k == 0) continue;  // known
                    const double azimuth = centre.azimuth + i * finer,
                                 elevation = centre.elevation + k * finer;
                    const double d = along_ray(azimuth, elevation);
                    if (d > ray.distance_m) ray = {d, azimuth, elevation};
                }
        }
        best = std::max(best, ray.distance_m);
    }
    return best;
}

}  // namespace ampturn::model::loop
