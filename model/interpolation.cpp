#include "model/interpolation.hpp"

#include <cmath>

#include "model/constants.hpp"
#include "model/contour_table.hpp"
#include "model/dispatch.hpp"
#include "model/vector_math.hpp"

namespace ampturn::model {

namespace {

constexpr std::size_t most_points = 48;

std::size_t last_index(int points, int below_last, int j) {
    return static_cast<std::size_t>(below_last) * static_cast<std::size_t>(points) +
           static_cast<std::size_t>(j);
}

struct Nodes {
    std::array<double, most_points> node{}, weight{};
    std::array<double, 3 * most_points> last_polynomials{};

    explicit Nodes(int n) {
        for (int i = 0; i < n; ++i) {
            const auto at = static_cast<std::size_t>(i);
            node[at] = chebyshev_node(n, i);
            weight[at] = chebyshev_weight(n, i);
        }
        for (int below = 0; below < 3; ++below)
            for (int j = 0; j < n; ++j) {
                // node = -cos(a), T_k(-cos a) = (-1)^k cos(k a), a = pi (j + 1/2) / n.
                const int k = n - 1 - below;
                const double value = std::cos(pi * k * (j + 0.5) / n);
                last_polynomials[last_index(n, below, j)] = k % 2 == 0 ? value : -value;
            }
    }
};

const Nodes& nodes_of(int points) {
    static const Nodes twelve(12), twenty_four(24), forty_eight(48);
    return points == 12 ? twelve : points == 24 ? twenty_four : forty_eight;
}

static_assert(interpolated_count == 4 * lane::width);

AMPTURN_DISPATCH void weighted_sum(const double* values, const double* weight, int points, double* out) {
    lane::V a = lane::all(0.0), b = a, c = a, d = a;
    for (int j = 0; j < points; ++j) {
        const double* row = values + static_cast<std::size_t>(j) * interpolated_count;
        const lane::V w = lane::all(weight[j]);
        a += w * lane::load(row);
        b += w * lane::load(row + lane::width);
        c += w * lane::load(row + 2 * lane::width);
        d += w * lane::load(row + 3 * lane::width);
    }
    lane::store(out, a);
    lane::store(out + lane::width, b);
    lane::store(out + 2 * lane::width, c);
    lane::store(out + 3 * lane::width, d);
}

}  // namespace

std::array<double, interpolated_count> interpolate(const std::vector<double>& values, int points, double x) {
    const Nodes& nodes = nodes_of(points);
    std::array<double, most_points> share;
    double total = 0;
    for (std::size_t j = 0; j < static_cast<std::size_t>(points); ++j) {
        const double distance = x - nodes.node[j];
        if (distance == 0) {
            share.fill(0);
            share[j] = total = 1;
            break;
        }
        share[j] = nodes.weight[j] / distance;
        total += share[j];
    }
    const double scale = 1 / total;
    for (std::size_t j = 0; j < static_cast<std::size_t>(points); ++j) share[j] *= scale;
    std::array<double, interpolated_count> result;
    weighted_sum(values.data(), share.data(), points, result.data());
    return result;
}

std::array<double, interpolated_count> interpolate_equispaced(const double* rows, double x) {
    // Barycentric weights of equally spaced nodes: (-1)^j binomial(9, j).
    constexpr std::array<double, 10> weights{1, -9, 36, -84, 126, -126, 84, -36, 9, -1};
    std::array<double, weights.size()> share;
    double total = 0;
    for (std::size_t j = 0; j < weights.size(); ++j) {
        const double distance = x - static_cast<double>(j);
        if (distance == 0) {
            share.fill(0);
            share[j] = total = 1;
            break;
        }
        share[j] = weights[j] / distance;
        total += share[j];
    }
    const double scale = 1 / total;
    for (double& s : share) s *= scale;
    std::array<double, interpolated_count> result;
    weighted_sum(rows, share.data(), static_cast<int>(weights.size()), result.data());
    return result;
}

double last_chebyshev_polynomial(int points, int below_last, int j) {
    return nodes_of(points).last_polynomials[last_index(points, below_last, j)];
}

}  // namespace ampturn::model
