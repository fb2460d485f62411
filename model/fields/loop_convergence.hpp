#pragma once

#include <array>
#include <cstddef>
#include <optional>

#include "model/fields/point_fields.hpp"

/// How far the quadrature over a loop goes. Inside of the fields.
namespace ampturn::model::fields {

/// Orders of the quadrature over the loop, rising until two agree.
inline constexpr std::array loop_orders{2, 3, 4, 6, 8, 10, 12, 16, 20, 24};

/// Adds a dipole's field to those before it.
void add(const Estimate& term, Estimate& sum);

/// The result with its model; std::runtime_error when it is not sound to 1e-3.
FieldResult finish(const Estimate& x, SourceModel model, std::size_t dipoles);

/// The rules of one loop and receiver, one after another: the whole loop as a dipole first.
class LoopConvergence {
  public:
    explicit LoopConvergence(const Estimate& whole) : previous_(whole) {}
    /// The next finer one. The result, once two agree or there is no finer one.
    std::optional<FieldResult> next(const Estimate& finer, std::size_t dipoles, bool last,
                                    double tolerance_rel);

  private:
    Estimate previous_;
    SourceModel model_ = SourceModel::dipole;
    std::size_t dipoles_ = 1;
};

}  // namespace ampturn::model::fields
