#include "model/base/gauss_legendre.hpp"

#include <cmath>
#include <cstddef>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model {

GaussLegendre gauss_legendre(int order) {
    check_range(order, "order", 1, 256);
    GaussLegendre rule;
    const auto n = static_cast<std::size_t>(order);
    rule.nodes.resize(n);
    rule.weights.resize(n);
    for (std::size_t i = 0; i < (n + 1) / 2; ++i) {
        double x = std::cos(pi * (static_cast<double>(i) + 0.75) / (order + 0.5));
        double slope = 0;
        for (int iteration = 0; iteration < 100; ++iteration) {
            double p = 1, previous = 0;
            for (int k = 1; k <= order; ++k) {
                const double next = ((2 * k - 1) * x * p - (k - 1) * previous) / k;
                previous = p;
                p = next;
            }
            slope = order * (x * p - previous) / (x * x - 1);
            const double step = p / slope;
            x -= step;
            if (std::abs(step) < 1e-15) break;
        }
        rule.nodes[n - 1 - i] = x;
        rule.nodes[i] = -x;
        rule.weights[i] = rule.weights[n - 1 - i] = 2 / ((1 - x * x) * slope * slope);
    }
    if (n % 2 == 1) rule.nodes[n / 2] = 0;
    return rule;
}

}  // namespace ampturn::model
