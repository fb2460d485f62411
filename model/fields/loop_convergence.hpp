#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>

#include "model/fields/point_fields.hpp"

/// How far the quadrature over a loop goes. Inside of the fields.
namespace ampturn::model::fields {

/// Orders of the quadrature over the loop, rising until two agree; 1 is the whole loop as one dipole.
inline constexpr std::array loop_orders{1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 24};

/// What the rule of order n leaves of the field of a parallelogram `ratio` radii away, ratio > 1: 100 rho^-2n, rho = ratio +
/// sqrt(ratio^2 - 1), for the field is analytic within the ellipse that reaches the receiver. Source: Trefethen (2008), SIAM
/// Review 50, 67-87, theorem 4.5, from memory; the factor is measured (tests/model/fields/loop_quadrature_test.cpp). Where a
/// component nearly vanishes or waves are short it may be more: predicted_error() is asked as well.
double expected_error(double ratio, int order);

/// Index in loop_orders to begin with, so that the next finer rule is expected to hold the tolerance; at most `largest`, which
/// is known to be fine enough.
std::size_t first_order(double ratio, double tolerance_rel, std::size_t largest = loop_orders.size() - 2);

/// What a coarser rule's relative error says of the finer one's, where errors fall as rho^-2n: the change between the two is the
/// coarser one's error, the finer one's is the same to the power of the orders' ratio, times ten.
double predicted_error(double change, int coarser_order, int finer_order);

/// The result with its model; std::runtime_error when it is not sound to 1e-3.
FieldResult finish(const Estimate& x, SourceModel model, std::size_t dipoles);

/// The rules of one loop and receiver, one after another, until two agree; or, where the ratio of expected_error() is given,
/// until the finer one's error is held by both what is expected and what the coarser one says.
class LoopConvergence {
  public:
    LoopConvergence(const Estimate& coarsest, int order, SourceModel model, std::optional<double> ratio)
        : previous_(coarsest), order_(order), model_(model), ratio_(ratio) {}
    /// The next finer one. The result of that model, once it holds or there is no finer one; the coarser one where that is of
    /// order 1 and holds.
    std::optional<FieldResult> next(const Estimate& finer, int order, SourceModel model, std::size_t dipoles,
                                    double tolerance_rel);

  private:
    Estimate previous_;
    int order_;
    SourceModel model_;
    std::optional<double> ratio_;
};

}  // namespace ampturn::model::fields
