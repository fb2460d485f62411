#pragma once

#include <cstddef>
#include <vector>

namespace ampturn::model::integrals {

/// Real numbers interpolated together: a row.
inline constexpr std::size_t interpolated_count = 16;

/// A constant matrix that turns rows (values at nodes) into other rows.
struct InterpolationMatrix {
    std::size_t rows_in, rows_out;
    std::vector<double> weights;  // [rows_out][rows_in]
};

/// out[rows_out][interpolated_count] = weights in[rows_in][interpolated_count].
void apply(const InterpolationMatrix& map, const double* in, double* out);

/// Polynomials in t, -1 to 1 on each of `pieces` equal pieces of an interval; rows out: the coefficient of
/// t^0, t^1 ... of the first piece, then of the second.
struct PiecewiseFit {
    std::size_t pieces, coefficients;
    InterpolationMatrix map;
};

/// From values at the Chebyshev points (first kind) of [-1, 1]: 16 to 64 of them.
inline constexpr int chebyshev_counts[] = {16, 20, 24, 28, 34, 44, 64};
const PiecewiseFit& chebyshev_pieces(int points);

/// From values at the same points to Chebyshev coefficients c_0, c_1 ...
const InterpolationMatrix& chebyshev_coefficients(int points);

/// From equally spaced rows to the one piece between the middle two. Error in the middle of a wave of theta radians a
/// row: 7e-7 theta^18 of 18 rows, 3e-8 theta^22 of 22. Source: remainder of Lagrange interpolation, Berrut &
/// Trefethen (2004).
enum class RowsOfPiece { few = 18, many = 22 };
const PiecewiseFit& equispaced_piece(RowsOfPiece rows);

}  // namespace ampturn::model::integrals
