#include "model/loop/exposure.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/base/root.hpp"
#include "model/loop/loop_vector.hpp"

namespace ampturn::model::loop {

namespace {

LoopPoint unit(const LoopPoint& a) {
    const double s = size(a);
    return {a.x_m / s, a.y_m / s, a.z_m / s};
}
LoopPoint mean_of(std::span<const LoopPoint> v) {
    LoopPoint c{0, 0, 0};
    const auto n = static_cast<double>(v.size());
    for (const LoopPoint& p : v) c = {c.x_m + p.x_m / n, c.y_m + p.y_m / n, c.z_m + p.z_m / n};
    return c;
}
LoopPoint normal_of(std::span<const LoopPoint> v) {
    LoopPoint n{0, 0, 0};
    for (std::size_t i = 0; i < v.size(); ++i) {
        const LoopPoint c = cross(minus(v[i], v[0]), minus(v[(i + 1) % v.size()], v[0]));
        n = {n.x_m + c.x_m, n.y_m + c.y_m, n.z_m + c.z_m};
    }
    return unit(n);
}

// Outermost t in (0, far) where f falls through zero, looking inwards from far, where f < 0; 0 when there is
// none. Steps by a factor, so nothing wider than a twelfth of its distance is passed over.
template <class F>
double outermost_crossing(const F& f, double near, double far) {
    double outer = far;
    double f_outer = f(far);
    while (outer > near) {
        const double inner = std::max(outer / 1.08, near);
        const double f_inner = f(inner);
        if (f_inner >= 0) return bracketed_root(f, inner, outer, f_inner, f_outer, 1e-13 * outer);
        outer = inner;
        f_outer = f_inner;
    }
    return 0;
}

}  // namespace

double icnirp2010_level_t(ExposureGroup group, double f) {
    if (!(f >= 1 && f <= 1e7)) return std::numeric_limits<double>::quiet_NaN();
    if (group == ExposureGroup::general_public) {
        if (f < 8) return 4e-2 / (f * f);
        if (f < 25) return 5e-3 / f;
        if (f < 400) return 2e-4;
        if (f < 3000) return 8e-2 / f;
        return 2.7e-5;
    }
    if (f < 8) return 0.2 / (f * f);
    if (f < 25) return 2.5e-2 / f;
    if (f < 300) return 1e-3;
    if (f < 3000) return 0.3 / f;
    return 1e-4;
}

namespace {

double icnirp1998_public_level_t(double f) {
    if (!(f >= 1 && f <= 1e7)) return std::numeric_limits<double>::quiet_NaN();
    if (f < 8) return 4e-2 / (f * f);
    if (f < 25) return 5e-3 / f;
    if (f < 800) return 5e-3 / f;
    if (f < 150e3) return 6.25e-6;
    return 0.92 / f;
}

/// Local exposure of six minutes, from 100 kHz on.
double icnirp2020_local_level_t(ExposureGroup group, double f) {
    return mu0_h_per_m * (group == ExposureGroup::general_public ? 4.9 : 10.8) / (f * 1e-6);
}

}  // namespace

double exposure_level_t(const ExposureLevels& levels, ExposureGroup group, double f) {
    const bool people = group == ExposureGroup::general_public;
    if (levels.set == ExposureLevels::Set::own)
        return people ? levels.own_public_t : levels.own_occupational_t;
    if (levels.set == ExposureLevels::Set::eu && people) return icnirp1998_public_level_t(f);
    const double low_frequency_t = icnirp2010_level_t(group, f);
    const bool alone = f < 1e5 || levels.set == ExposureLevels::Set::icnirp_2010;
    return alone ? low_frequency_t : std::min(low_frequency_t, icnirp2020_local_level_t(group, f));
}

LoopPoint polygon_field_t(std::span<const LoopPoint> vertices, double ampere_turns_rms, const LoopPoint& at) {
    LoopPoint b{0, 0, 0};
    for (std::size_t i = 0; i < vertices.size(); ++i) {
        // B = mu0 I/4pi (r1 x r2)(|r1| + |r2|)/(|r1||r2| (|r1||r2| + r1.r2)), r from the point to the ends.
        const LoopPoint r1 = minus(vertices[i], at);
        const LoopPoint r2 = minus(vertices[(i + 1) % vertices.size()], at);
        const double s1 = size(r1), s2 = size(r2);
        const LoopPoint c = cross(r1, r2);
        // |r1||r2| + r1.r2 = |r1 x r2|^2/(|r1||r2| - r1.r2) where the point sees the side edge-on.
        const double d = dot(r1, r2);
        const double below = d > 0 ? s1 * s2 + d : dot(c, c) / (s1 * s2 - d);
        if (below == 0) continue;
        const double factor = mu0_h_per_m * ampere_turns_rms / (4 * pi) * (s1 + s2) / (s1 * s2 * below);
        b = along(b, c, factor);
    }
    return b;
}

double polygon_field_magnitude_t(std::span<const LoopPoint> vertices, double ampere_turns_rms,
                                 const LoopPoint& at) {
    return size(polygon_field_t(vertices, ampere_turns_rms, at));
}

LevelDistances level_distances(std::span<const LoopPoint> v, std::size_t side_index, double level) {
    check_range(level, "level_t_per_ampere_turn", 1e-18, 1e12);
    const LoopPoint centre = mean_of(v);
    const LoopPoint normal = normal_of(v);
    const LoopPoint& a = v[side_index];
    const LoopPoint& b = v[(side_index + 1) % v.size()];
    const LoopPoint middle{(a.x_m + b.x_m) / 2, (a.y_m + b.y_m) / 2, (a.z_m + b.z_m) / 2};
    LoopPoint outward = unit(cross(unit(minus(b, a)), normal));
    const double inradius = dot(minus(middle, centre), outward);
    if (inradius < 0) outward = {-outward.x_m, -outward.y_m, -outward.z_m};
    double perimeter = 0;
    for (std::size_t i = 0; i < v.size(); ++i) perimeter += size(minus(v[(i + 1) % v.size()], v[i]));
    const double straight =
        mu0_h_per_m / (2 * pi * level);  // where a straight wire's field is at it: an estimate
    // Beyond this the field of all the wire at once is below the level.
    const double far = perimeter + 2 * std::sqrt(mu0_h_per_m * perimeter / (4 * pi * level));
    const auto excess_on = [&](const LoopPoint& from, const LoopPoint& direction) {
        return [&v, from, direction, level](double t) {
            return std::log(polygon_field_magnitude_t(v, 1, along(from, direction, t)) / level);
        };
    };
    LevelDistances out{};
    const auto axis = excess_on(centre, normal);
    out.axis_m = outermost_crossing(axis, 1e-7 * perimeter, far);
    const double tiny = std::min(straight, perimeter) * 1e-3;
    out.side_m = outermost_crossing(excess_on(middle, outward), tiny, far);
    // Inward: the first place, from the wire, that is below the level.
    const LoopPoint to_centre = minus(centre, middle);
    const double way = size(to_centre);
    const auto inside = excess_on(middle, unit(to_centre));
    if (inside(way) < 0) {
        double from = std::min(tiny, way * 1e-3);
        double f_from = inside(from);
        while (from < way) {
            const double to = std::min(from * 1.08, way);
            const double f_to = inside(to);
            if (f_to < 0) {
                out.inside_m =
                    f_from <= 0 ? from : bracketed_root(inside, from, to, f_from, f_to, 1e-13 * to);
                break;
            }
            from = to;
            f_from = f_to;
        }
    }
    return out;
}

double exposure_sum_a_per_t(const ExposureLevels& levels, ExposureGroup group,
                            std::span<const CurrentLine> lines) {
    double sum = 0;
    for (const CurrentLine& line : lines)
        if (line.frequency_hz >= 1 && line.frequency_hz <= 1e7)
            sum += line.rms_a / exposure_level_t(levels, group, line.frequency_hz);
    return sum;
}

double keep_out_distance_m(std::span<const LoopPoint> vertices, double level_t_per_ampere_turn) {
    double out = 0;
    for (std::size_t i = 0; i < vertices.size(); ++i) {
        const LevelDistances d = level_distances(vertices, i, level_t_per_ampere_turn);
        out = std::max({out, d.side_m, d.inside_m.value_or(0)});
        if (!d.inside_m) {
            const LoopPoint& a = vertices[i];
            const LoopPoint& b = vertices[(i + 1) % vertices.size()];
            const LoopPoint centre = mean_of(vertices);
            out = std::max(
                out, size(minus(centre, {(a.x_m + b.x_m) / 2, (a.y_m + b.y_m) / 2, (a.z_m + b.z_m) / 2})));
        }
        out = std::max(out, d.axis_m);
    }
    return out;
}

}  // namespace ampturn::model::loop
