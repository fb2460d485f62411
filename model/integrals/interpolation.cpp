#include "model/integrals/interpolation.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <mutex>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"
#include "model/contours/contour_table.hpp"

namespace ampturn::model::integrals {

namespace {

/// Values at x of the polynomials that are 1 at one node and 0 at the others (barycentric formula).
std::vector<double> lagrange_values(const std::vector<double>& nodes, const std::vector<double>& weights,
                                    double x) {
    std::vector<double> share(nodes.size(), 0);
    double total = 0;
    for (std::size_t j = 0; j < nodes.size(); ++j) {
        if (x == nodes[j]) {
            std::fill(share.begin(), share.end(), 0.0);
            share[j] = 1;
            return share;
        }
        share[j] = weights[j] / (x - nodes[j]);
        total += share[j];
    }
    for (double& s : share) s /= total;
    return share;
}

/// cos(pi k (j + 1/2) / n), of which there are 4 n different ones.
class Cosines {
  public:
    explicit Cosines(std::size_t n) : n_(n) {
        for (std::size_t i = 0; i < 4 * n; ++i)
            values_.push_back(std::cos(pi * static_cast<double>(i) / static_cast<double>(2 * n)));
    }
    double operator()(std::size_t k, std::size_t j) const { return values_[k * (2 * j + 1) % (4 * n_)]; }

  private:
    std::size_t n_;
    std::vector<double> values_;
};

/// Coefficients of t^k of the Chebyshev polynomials T_0 ... T_{n-1}: [polynomial][k].
std::vector<std::vector<double>> chebyshev_monomials(std::size_t n) {
    std::vector<std::vector<double>> t(n, std::vector<double>(n, 0));
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t k = 0; k < n; ++k)
            t[i][k] = i == 0   ? double(k == 0)
                      : i == 1 ? double(k == 1)
                               : (k > 0 ? 2 * t[i - 1][k - 1] : 0) - t[i - 2][k];
    return t;
}

/// The interpolating polynomial of the nodes on [from, to], cut into pieces, each expanded to `coefficients`
/// powers through its own Chebyshev points.
PiecewiseFit make_pieces(const std::vector<double>& nodes, const std::vector<double>& weights, double from,
                         double to, std::size_t pieces, std::size_t coefficients) {
    const std::size_t n = nodes.size(), m = coefficients;
    PiecewiseFit result{pieces, m, {n, pieces * m, std::vector<double>(pieces * m * n)}};
    const auto monomials = chebyshev_monomials(m);
    const Cosines cosine(m);
    for (std::size_t p = 0; p < pieces; ++p) {
        const double width = (to - from) / static_cast<double>(pieces);
        const double centre = from + (static_cast<double>(p) + 0.5) * width;
        std::vector<std::vector<double>> at_node;  // [sub-node][node]
        for (std::size_t i = 0; i < m; ++i)
            at_node.push_back(lagrange_values(nodes, weights, centre + 0.5 * width * cosine(1, i)));
        for (std::size_t j = 0; j < n; ++j) {
            std::vector<double> power(m, 0);
            for (std::size_t k = 0; k < m; ++k) {
                double c = 0;
                for (std::size_t i = 0; i < m; ++i) c += cosine(k, i) * at_node[i][j];
                c *= (k == 0 ? 1.0 : 2.0) / static_cast<double>(m);
                for (std::size_t q = 0; q <= k; ++q) power[q] += c * monomials[k][q];
            }
            for (std::size_t k = 0; k < m; ++k) result.map.weights[(p * m + k) * n + j] = power[k];
        }
    }
    return result;
}

std::vector<double> chebyshev_nodes(int points) {
    std::vector<double> nodes;
    for (int j = 0; j < points; ++j) nodes.push_back(contours::chebyshev_node(points, j));
    return nodes;
}

PiecewiseFit make_chebyshev_pieces(int points) {
    std::vector<double> weights;
    for (int j = 0; j < points; ++j) weights.push_back(contours::chebyshev_weight(points, j));
    // A quarter or less of the interval needs few terms more than its share of the points.
    const std::size_t pieces = points <= 16   ? 2
                               : points <= 20 ? 3
                               : points <= 28 ? 4
                               : points <= 34 ? 5
                               : points <= 44 ? 7
                                              : 10;
    return make_pieces(chebyshev_nodes(points), weights, -1, 1, pieces, 12);
}

InterpolationMatrix make_chebyshev_coefficients(int points) {
    const auto n = static_cast<std::size_t>(points);
    const Cosines cosine(n);
    InterpolationMatrix map{n, n, std::vector<double>(n * n)};
    for (std::size_t k = 0; k < n; ++k)
        for (std::size_t j = 0; j < n; ++j) {
            // node = -cos(a), T_k(-cos a) = (-1)^k cos(k a), a = pi (j + 1/2) / n.
            const double value =
                (k % 2 == 0 ? 1 : -1) * cosine(k, j) * (k == 0 ? 1.0 : 2.0) / static_cast<double>(n);
            map.weights[k * n + j] = static_cast<double>(value);
        }
    return map;
}

PiecewiseFit make_equispaced_piece(RowsOfPiece rows) {
    const int count = static_cast<int>(rows);  // even
    std::vector<double> nodes, weights;
    double binomial = 1;
    for (int j = 0; j < count; ++j) {
        nodes.push_back(j);
        weights.push_back(j % 2 == 0 ? binomial : -binomial);
        binomial = binomial * static_cast<double>(count - 1 - j) / static_cast<double>(j + 1);
    }
    const double end = 0.5 * static_cast<double>(count);
    return make_pieces(nodes, weights, end - 1, end, 1, rows == RowsOfPiece::few ? 6 : 8);
}

std::size_t index_of(int points) {
    for (std::size_t i = 0; i < std::size(chebyshev_counts); ++i)
        if (chebyshev_counts[i] == points) return i;
    throw std::logic_error("interpolation: no such number of Chebyshev points");
}

/// `count` things, each made when it is first asked for.
template <class Made, std::size_t count = std::size(chebyshev_counts)>
class MadeOnce {
  public:
    template <class Make>
    const Made& of(std::size_t i, Make make) {
        std::call_once(made_[i], [&] { maps_[i] = make(); });
        return maps_[i];
    }

  private:
    std::array<std::once_flag, count> made_;
    std::array<Made, count> maps_;
};

/// `block` rows out at a time share what they read; returns how many are done.
template <std::size_t width, std::size_t block>
AMPTURN_LANE std::size_t multiply_blocks(const double* weights, std::size_t rows_in, std::size_t from,
                                         std::size_t rows_out, const double* in, double* out) {
    std::size_t i = from;
    for (; i + block <= rows_out; i += block) {
        const double* w = weights + i * rows_in;
        for (std::size_t part = 0; part < interpolated_count; part += width) {
            lane::V<width> sum[block];
            for (auto& s : sum) s = lane::all<width>(0.0);
            for (std::size_t j = 0; j < rows_in; ++j) {
                const auto x = lane::load<width>(in + j * interpolated_count + part);
                for (std::size_t b = 0; b < block; ++b) sum[b] += w[b * rows_in + j] * x;
            }
            for (std::size_t b = 0; b < block; ++b)
                lane::store(out + (i + b) * interpolated_count + part, sum[b]);
        }
    }
    return i;
}

template <std::size_t width>
AMPTURN_LANE void multiply(const double* weights, std::size_t rows_in, std::size_t rows_out, const double* in,
                           double* out) {
    const std::size_t done = multiply_blocks<width, 6>(weights, rows_in, 0, rows_out, in, out);
    multiply_blocks<width, 1>(weights, rows_in, done, rows_out, in, out);
}

AMPTURN_DISPATCH(multiply_rows,
                 (const double* weights, std::size_t rows_in, std::size_t rows_out, const double* in,
                  double* out),
                 multiply<width>(weights, rows_in, rows_out, in, out))

}  // namespace

void apply(const InterpolationMatrix& map, const double* in, double* out) {
    multiply_rows(map.weights.data(), map.rows_in, map.rows_out, in, out);
}

const PiecewiseFit& chebyshev_pieces(int points) {
    static MadeOnce<PiecewiseFit> maps;
    return maps.of(index_of(points), [&] { return make_chebyshev_pieces(points); });
}

const InterpolationMatrix& chebyshev_coefficients(int points) {
    static MadeOnce<InterpolationMatrix> maps;
    return maps.of(index_of(points), [&] { return make_chebyshev_coefficients(points); });
}

const PiecewiseFit& equispaced_piece(RowsOfPiece rows) {
    static MadeOnce<PiecewiseFit, 2> maps;
    return maps.of(rows == RowsOfPiece::few ? 0 : 1, [&] { return make_equispaced_piece(rows); });
}

}  // namespace ampturn::model::integrals
