#pragma once

#include <memory>
#include <vector>

#include "model/integrals/contour.hpp"
#include "model/integrals/integral_terms.hpp"

namespace ampturn::model::integrals {

/// Nodes of a contour in zeta = lambda times a reference offset, with the carrier functions of one or more
/// offsets (as fractions of it) times the quadrature weights. Depends on nothing but shape and size, so every
/// table is made once and shared by all grounds and frequencies. Node counts are padded to a multiple of lane_count.
struct ContourTable {
    ComplexArray zeta;
    std::vector<double> fractions;        // of the reference offset
    std::vector<CarrierWeights> weights;  // one a fraction
};

/// The table for offsets around the reference; level panels enough that the contour passes right of
/// `rightmost` (zeta units). Made on first use and kept; safe from several threads; the same whoever asks first.
std::shared_ptr<const ContourTable> single_offset_table(bool check, double rightmost);

/// For one offset, about 1e-9 for horizontal dipoles, by as few nodes as will do.
std::shared_ptr<const ContourTable> lean_offset_table(double rightmost);

/// Offsets that share a contour reach from 1/w to w times the reference, w = 2^{3/4}; this is ln w^2.
inline constexpr double band_log_width = 1.0397207708399179;

/// Few nodes, good to 1e-8 or so; or those of the single offset's contours, good to 1e-12.
enum class BandAccuracy { fast, fine };

/// For the Chebyshev points (first kind) in the logarithm of offset over a band around the reference.
std::shared_ptr<const ContourTable> band_table(BandAccuracy accuracy, int points, double rightmost);

/// An unlike contour as lean as the band's, for the two ends of the band.
std::shared_ptr<const ContourTable> band_check_table(BandAccuracy accuracy, double rightmost);

/// Node t of the Chebyshev points, in (-1, 1), and barycentric weight.
double chebyshev_node(int points, int index);
double chebyshev_weight(int points, int index);

}  // namespace ampturn::model::integrals
