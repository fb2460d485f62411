#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace ampturn::model {

/// A vector of functions of some standard normal variables by one polynomial of total degree d, which takes as many values as it
/// has terms: binomial(n + d, d) for n variables. Newton's form on Leja points in each variable, weighted by the root of the
/// density, so that a higher degree adds points and keeps the old ones, and the error is smallest where draws fall. Source:
/// Narayan & Jakeman (2014), SIAM J. Sci. Comput. 36, A2952, from memory.
class SparsePolynomial {
  public:
    /// Farthest point in a variable.
    static constexpr double reach = 3.2;

    /// variables >= 1. Of degree 0 until raised: no term yet.
    explicit SparsePolynomial(std::size_t variables);

    /// Where the functions are wanted for one degree more than before (the first time degree 0), at most 15.
    std::vector<std::vector<double>> next_points() const;
    /// The functions there, point by point, each time as many.
    void raise(std::vector<std::vector<double>> values);
    int degree() const { return degree_; }
    std::size_t terms() const { return terms_.size(); }
    /// Of a polynomial that has been raised to `degree`.
    static std::size_t terms_of(std::size_t variables, int degree);

    /// One number a variable.
    std::vector<double> at(std::span<const double> x) const;

  private:
    using Powers = std::vector<std::uint8_t>;  // variable by variable, how many factors of Newton's form
    std::vector<Powers> terms_of_degree(int degree) const;
    double basis(const Powers& powers, std::span<const double> x) const;

    std::size_t variables_;
    int degree_ = -1;
    std::vector<double> points_;  // Leja's, in their order
    std::vector<Powers> terms_;
    std::vector<std::vector<double>> coefficients_;  // term by term
};

}  // namespace ampturn::model
