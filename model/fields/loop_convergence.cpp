#include "model/fields/loop_convergence.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace ampturn::model::fields {

FieldResult finish(const Estimate& x, SourceModel model, std::size_t dipoles) {
    const bool sound = std::isfinite(e_size(x.fields)) && std::isfinite(h_size(x.fields)) &&
                       x.e_error <= 1e-3 * e_size(x.fields) && x.h_error <= 1e-3 * h_size(x.fields);
    if (!sound) throw std::runtime_error("field: no method reached 1e-3 for this ground and offset");
    return {.fields = x.fields,
            .e_error_v_per_m = x.e_error,
            .h_error_a_per_m = x.h_error,
            .integration = x.integration,
            .source_model = model,
            .dipoles = static_cast<int>(dipoles)};
}

double expected_error(double ratio, int order) {
    const double rho = ratio + std::sqrt(ratio * ratio - 1), per_order = 1 / (rho * rho);
    double out = 100;
    for (int i = 0; i < order; ++i) out *= per_order;
    return out;
}

std::size_t first_order(double ratio, double tolerance_rel, std::size_t largest) {
    std::size_t index = largest;
    while (index > 0 && expected_error(ratio, loop_orders[index]) <= tolerance_rel) --index;
    return index;
}

double predicted_error(double change, int coarser_order, int finer_order) {
    // Roots of the usual ones are quicker than powers.
    if (finer_order == 2 * coarser_order) return 10 * change * change;
    if (2 * finer_order == 3 * coarser_order) return 10 * change * std::sqrt(change);
    if (3 * finer_order == 4 * coarser_order) return 10 * change * std::cbrt(change);
    return 10 * std::pow(change, static_cast<double>(finer_order) / coarser_order);
}

std::optional<FieldResult> LoopConvergence::next(const Estimate& finer, int order, SourceModel model,
                                                 std::size_t dipoles, double tolerance_rel) {
    const double e = e_size(finer.fields), h = h_size(finer.fields);
    // The change is the error of the coarser rule; the finer one is better by far more than ten.
    double e_left = e_size(finer.fields - previous_.fields), h_left = h_size(finer.fields - previous_.fields);
    const auto holds = [&] { return e_left <= tolerance_rel * e && h_left <= tolerance_rel * h; };
    const bool take_coarser = holds() && order_ == 1;
    if (!take_coarser) {
        if (ratio_ && e > 0 && h > 0) {
            const double expected = expected_error(*ratio_, order);
            const auto left = [&](double change, double size) {
                return std::min(change,
                                std::max(expected, predicted_error(change / size, order_, order)) * size);
            };
            e_left = left(e_left, e);
            h_left = left(h_left, h);
        }
        previous_ = finer;
        order_ = order;
        model_ = model;
        if (!holds() && order != loop_orders.back()) return std::nullopt;
    }
    previous_.e_error += e_left;
    previous_.h_error += h_left;
    return finish(previous_, model_, take_coarser ? 1 : dipoles);
}

}  // namespace ampturn::model::fields
