#include "model/base/sparse_polynomial.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"

namespace ampturn::model {
namespace {

constexpr int most_degree = 15;

/// Each point is where the product of the distances to those before it, weighted by the root of the density, is largest, to a
/// grid: 0 comes first.
std::vector<double> weighted_leja_points(int count) {
    constexpr int half = 10'000;
    std::vector<double> grid, products;
    for (int i = half; i >= -half; --i) {
        const double x = SparsePolynomial::reach * i / half;
        grid.push_back(x);
        products.push_back(std::exp(-x * x / 4));
    }
    std::vector<double> points{0};
    while (static_cast<int>(points.size()) < count) {
        for (std::size_t i = 0; i < grid.size(); ++i) products[i] *= std::abs(grid[i] - points.back());
        const auto best = std::max_element(products.begin(), products.end());
        points.push_back(grid[static_cast<std::size_t>(best - products.begin())]);
    }
    return points;
}

/// Sums of rows of numbers, each times its factor; column by column, so that a sum stays in its register.
struct Rows {
    const std::vector<double>& factors;
    const std::vector<std::vector<double>>& rows;
};
template <std::size_t width>
AMPTURN_LANE void sum_rows_of(const Rows& of, std::size_t count, double* sums) {
    std::size_t k = 0;
    for (; k + 2 * width <= count; k += 2 * width) {
        auto left = lane::load<width>(sums + k), right = lane::load<width>(sums + k + width);
        for (std::size_t t = 0; t < of.factors.size(); ++t) {
            const double* const row = of.rows[t].data() + k;
            left = left + of.factors[t] * lane::load<width>(row);
            right = right + of.factors[t] * lane::load<width>(row + width);
        }
        lane::store(sums + k, left);
        lane::store(sums + k + width, right);
    }
    for (; k < count; ++k)
        for (std::size_t t = 0; t < of.factors.size(); ++t) sums[k] += of.factors[t] * of.rows[t][k];
}

/// All ways to share `total` among the variables from `from` on.
void add_shares(std::size_t from, int total, std::vector<std::uint8_t>& powers,
                std::vector<std::vector<std::uint8_t>>& out) {
    if (from + 1 == powers.size()) {
        powers[from] = static_cast<std::uint8_t>(total);
        out.push_back(powers);
        return;
    }
    for (int own = total; own >= 0; --own) {
        powers[from] = static_cast<std::uint8_t>(own);
        add_shares(from + 1, total - own, powers, out);
    }
}

AMPTURN_DISPATCH(sum_rows, (const Rows& of, std::size_t count, double* sums),
                 sum_rows_of<width>(of, count, sums))

}  // namespace

SparsePolynomial::SparsePolynomial(std::size_t variables)
    : variables_(variables), points_(weighted_leja_points(most_degree + 1)) {}

std::size_t SparsePolynomial::terms_of(std::size_t variables, int degree) {
    std::size_t terms = 1;
    for (std::size_t i = 1; i <= static_cast<std::size_t>(degree); ++i) terms = terms * (variables + i) / i;
    return terms;
}

double SparsePolynomial::basis(const Powers& powers, std::span<const double> x) const {
    double product = 1;
    for (std::size_t v = 0; v < variables_; ++v)
        for (std::size_t k = 0; k < powers[v]; ++k) product *= x[v] - points_[k];
    return product;
}

std::vector<SparsePolynomial::Powers> SparsePolynomial::terms_of_degree(int degree) const {
    Powers powers(variables_, 0);
    std::vector<Powers> terms;
    add_shares(0, degree, powers, terms);
    return terms;
}

std::vector<std::vector<double>> SparsePolynomial::next_points() const {
    std::vector<std::vector<double>> places;
    for (const Powers& term : terms_of_degree(degree_ + 1)) {
        std::vector<double>& x = places.emplace_back();
        for (const std::uint8_t power : term) x.push_back(points_[power]);
    }
    return places;
}

void SparsePolynomial::raise(std::vector<std::vector<double>> values) {
    // Of the terms of this degree each vanishes at the others' points.
    const std::vector<std::vector<double>> places = next_points();
    std::vector<Powers> added = terms_of_degree(++degree_);
    for (std::size_t t = 0; t < added.size(); ++t) {
        const std::vector<double> lower = at(places[t]);
        const double own = basis(added[t], places[t]);
        for (std::size_t k = 0; k < values[t].size(); ++k)
            values[t][k] = (values[t][k] - (lower.empty() ? 0 : lower[k])) / own;
    }
    for (std::size_t t = 0; t < added.size(); ++t) {
        terms_.push_back(std::move(added[t]));
        coefficients_.push_back(std::move(values[t]));
    }
}

std::vector<double> SparsePolynomial::at(std::span<const double> x) const {
    std::vector<double> out(coefficients_.empty() ? 0 : coefficients_.front().size(), 0.0);
    std::vector<double> factors;
    factors.reserve(terms_.size());
    for (const Powers& term : terms_) factors.push_back(basis(term, x));
    sum_rows({factors, coefficients_}, out.size(), out.data());
    return out;
}

}  // namespace ampturn::model
