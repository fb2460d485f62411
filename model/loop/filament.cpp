#include <algorithm>
#include <array>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/gauss_legendre.hpp"
#include "model/loop/loop.hpp"
#include "model/loop/loop_vector.hpp"

namespace ampturn::model::loop {

namespace {

// ln of (r_far + reach)/(r_near - ...): the integral of 1/r along a straight piece seen from a point whose
// distance from the line is `off` and whose foot lies at `foot` on [0, span]. Sums of like signs only.
double seen_along(double foot, double span, double off) {
    const double before = foot;
    const double after = span - foot;
    const auto reach = [off](double t) { return t + std::hypot(t, off); };
    if (before >= 0 && after >= 0) return std::log(reach(before) * (reach(after) / (off * off)));
    return before < 0 ? std::log1p((reach(after) - reach(-before)) / reach(-before))
                      : std::log1p((reach(before) - reach(-after)) / reach(-after));
}

// Second antiderivative of 1/sqrt(t^2 + d^2): t asinh(t/d) - sqrt(t^2 + d^2), written for d = 0 as well.
double twice_integrated(double t, double d) {
    const double r = std::hypot(t, d);
    const double a = std::abs(t);
    if (a == 0) return -r;
    if (d == 0) return a * std::log(2 * a) - r;  // the constant ln d drops out of the four-term difference
    return a * std::asinh(a / d) - r;
}

// Parallel filaments at a distance d: line 1 on [0, length1], line 2 on [start2, start2 + length2] (signed).
double parallel_sum(double length1, double start2, double length2, double d) {
    const double end2 = start2 + length2;
    const double v = twice_integrated(end2, d) - twice_integrated(end2 - length1, d) -
                     twice_integrated(start2, d) + twice_integrated(start2 - length1, d);
    return v;
}

// Nearly parallel but not parallel: inner integral in closed form, outer by Gauss on panels that shrink
// towards the ends and towards the foot of the common perpendicular, where the inner one has its logarithms.
double nearly_parallel_sum(const LoopPoint& from1, const LoopPoint& unit1, double length1,
                           const LoopPoint& from2, const LoopPoint& unit2, double length2) {
    static const GaussLegendre rule = gauss_legendre(24);
    constexpr int panels_per_side = 24;
    std::vector<double> edge;
    double reach = length1 / 2;
    for (int i = 0; i < panels_per_side; ++i, reach /= 2) {
        edge.push_back(reach);
        edge.push_back(length1 - reach);
    }
    edge.push_back(0);
    edge.push_back(length1);
    std::sort(edge.begin(), edge.end());
    double sum = 0;
    for (std::size_t e = 0; e + 1 < edge.size(); ++e) {
        const double half = (edge[e + 1] - edge[e]) / 2;
        const double mid = (edge[e + 1] + edge[e]) / 2;
        for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
            const double s = mid + half * rule.nodes[i];
            const LoopPoint at = along(from1, unit1, s);
            const LoopPoint to = minus(at, from2);
            const double foot = dot(to, unit2);
            const double off = size(cross(to, unit2));
            sum += half * rule.weights[i] * seen_along(foot, length2, std::max(off, 1e-300));
        }
    }
    return sum;
}

}  // namespace

double filament_mutual_h(const LoopPoint& from1, const LoopPoint& to1, const LoopPoint& from2,
                         const LoopPoint& to2) {
    const LoopPoint line1 = minus(to1, from1);
    const LoopPoint line2 = minus(to2, from2);
    const double length1 = size(line1);
    const double length2 = size(line2);
    if (length1 == 0 || length2 == 0) return 0;
    const LoopPoint u = scaled(line1, 1 / length1);
    const LoopPoint v = scaled(line2, 1 / length2);
    const double cosine = dot(u, v);
    const LoopPoint normal = cross(u, v);
    const double sine2 = dot(normal, normal);
    const double sine = std::sqrt(sine2);
    const LoopPoint between = minus(from2, from1);
    const double scale = mu0_h_per_m / (4 * pi);

    if (sine < 1e-14) {
        const double start = dot(between, u);
        const LoopPoint off = cross(between, u);
        const double reach = cosine > 0 ? length2 : -length2;
        return scale * cosine * (cosine > 0 ? 1 : -1) * parallel_sum(length1, start, reach, size(off));
    }
    if (std::abs(cosine) < 1e-16) return 0;
    if (sine < 2e-3) return scale * cosine * nearly_parallel_sum(from1, u, length1, from2, v, length2);

    // Skew lines: feet of the common perpendicular, measured from each start along each line.
    const double foot1 = (dot(between, u) - cosine * dot(between, v)) / sine2;
    const double foot2 = (cosine * dot(between, u) - dot(between, v)) / sine2;
    const double d = std::abs(dot(between, normal)) / sine;
    const double s0 = -foot1;
    const double s1 = length1 - foot1;
    const double t0 = -foot2;
    const double t1 = length2 - foot2;

    // Each end, its distance from the perpendicular's foot times the potential of the other line there.
    const auto end_term = [&](double along, double other_start, double other_length) {
        const double off = std::hypot(d, along * sine);
        const double foot = along * cosine - other_start;
        if (off < 1e-15 * (length1 + length2)) return 0.0;
        return along * seen_along(foot, other_length, off);
    };
    double sum = end_term(s1, t0, length2) - end_term(s0, t0, length2) + end_term(t1, s0, length1) -
                 end_term(t0, s0, length1);
    if (d > 1e-15 * (length1 + length2)) {
        const auto solid = [&](double s, double t) {
            const double r = std::sqrt(std::max(0.0, d * d + s * s + t * t - 2 * s * t * cosine));
            return std::atan2(d * d * cosine + s * t * sine2, d * r * sine);
        };
        sum -= d / sine * (solid(s1, t1) - solid(s1, t0) - solid(s0, t1) + solid(s0, t0));
    }
    return scale * cosine * sum;
}

double polygon_mutual_h(std::span<const LoopPoint> loop1, std::span<const LoopPoint> loop2) {
    double sum = 0;
    for (std::size_t i = 0; i < loop1.size(); ++i)
        for (std::size_t j = 0; j < loop2.size(); ++j)
            sum += filament_mutual_h(loop1[i], loop1[(i + 1) % loop1.size()], loop2[j],
                                     loop2[(j + 1) % loop2.size()]);
    return sum;
}

double coaxial_circles_mutual_h(double radius1_m, double radius2_m, double distance_m) {
    // M = mu0 sqrt(Rr) [(2/k - k) K - 2E/k]; with k1 = (p - q)/(p + q) of the greatest and least distances
    // p, q this becomes 2 mu0 sqrt(Rr)/sqrt(k1) (K(k1) - E(k1)) without cancellation (Landen).
    const double far = std::hypot(radius1_m + radius2_m, distance_m);
    const double near = std::hypot(radius1_m - radius2_m, distance_m);
    const double k1 = (far - near) / (far + near);
    // Arithmetic-geometric mean; K - E = K * sum 2^(n-1) c_n^2.
    double a = 1;
    double b = 2 * std::sqrt(far * near) / (far + near);
    double c = k1;
    double sum = c * c / 2;
    double power = 0.5;
    for (int i = 0; i < 40 && std::abs(c) > 1e-17; ++i) {
        const double mean = (a + b) / 2;
        c = (a - b) / 2;
        b = std::sqrt(a * b);
        a = mean;
        power *= 2;
        sum += power * c * c;
    }
    const double k_integral = pi / (2 * a);
    return 2 * mu0_h_per_m * std::sqrt(radius1_m * radius2_m / k1) * k_integral * sum;
}

}  // namespace ampturn::model::loop
