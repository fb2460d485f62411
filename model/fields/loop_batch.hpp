#pragma once

#include <array>
#include <cstddef>
#include <mutex>
#include <optional>
#include <span>
#include <vector>

#include "model/fields/field_batch.hpp"
#include "model/fields/fields.hpp"
#include "model/fields/loop_convergence.hpp"
#include "model/fields/loop_dipoles.hpp"

namespace ampturn::model::fields {

/// A loop seen by many receivers that are far enough from it to share its dipoles: each rule is a batch of dipoles, or of
/// columns of them where the loop and the receivers allow it (field_batch.hpp), and drops the receivers that need no finer one.
/// Receivers nearer than that are left to others.
class LoopBatch {
  public:
    LoopBatch(const Loop& loop, std::span<const Receiver> receivers);

    /// Whether compute() gives the receiver's result.
    bool has(std::size_t receiver) const { return has_[receiver]; }
    /// Results of those it has, to the tolerance of `shared`. Several threads may compute with one batch.
    void compute(InterpolatedFields& shared, std::span<FieldResult> results) const;

  private:
    /// The dipoles or columns of a rule, each with the way to every receiver.
    struct Rule {
        std::vector<Source> dipoles;
        std::vector<SourceGroup> groups;
        SourceModel model = SourceModel::dipole_area;
        int order = 1;
    };
    /// Of loop_orders; columns where the waves are long enough for their rule.
    const Rule& rule(std::size_t index, bool columns) const;
    Estimate at(const Rule& rule, const Dipole& dipole, const Receiver& receiver,
                InterpolatedFields& shared) const;
    /// Of receivers from `begin` to before `end`.
    void sum(const Rule& rule, std::size_t begin, std::size_t end, InterpolatedFields& shared,
             std::span<Estimate> sums) const;
    /// Index of the rule each receiver begins with; falling.
    std::vector<std::size_t> first_orders(double tolerance_rel) const;

    std::vector<bool> has_;
    std::vector<std::size_t> place_;   // of each of those it has, nearest first, among all receivers
    std::vector<Receiver> receivers_;  // the same
    /// Their distance in radii of the loop; nothing where the loop is no parallelogram, whose errors are not foretold.
    std::vector<std::optional<double>> ratios_;
    double half_height_m_ = 0;  // of the loop's columns; 0 where it is summed from points alone
    mutable LoopQuadrature quadrature_;
    mutable std::mutex mutex_;  // of what follows
    struct Kept {
        std::array<std::once_flag, loop_orders.size()> made;
        std::array<Rule, loop_orders.size()> rules;
    };
    mutable Kept points_, columns_;
};

}  // namespace ampturn::model::fields
