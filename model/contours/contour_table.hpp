#pragma once

#include <complex>
#include <memory>

#include "model/contours/contour.hpp"
#include "model/contours/hankel.hpp"
#include "model/contours/node_arrays.hpp"

namespace ampturn::model::contours {

/// Nodes of a contour in zeta = lambda times the offset, with the carrier functions times the quadrature weights. Depends on nothing but shape and size, so every
/// table is made once and shared by all grounds and frequencies. Node counts are padded to a multiple of lane_count.
struct ContourTable {
    ComplexArray zeta;
    CarrierWeights weights;
};

/// The table for one offset; level panels enough that the contour passes right of
/// `rightmost` (zeta units). Made on first use and kept; safe from several threads; the same whoever asks first.
std::shared_ptr<const ContourTable> single_offset_table(bool check, double rightmost);

/// For one offset, about 1e-9 for horizontal dipoles, by as few nodes as will do.
std::shared_ptr<const ContourTable> lean_offset_table(double rightmost);

/// J0, J1 or half a Hankel function of both orders.
Orders01 carrier_functions(Carrier carrier, std::complex<double> z);

/// The counts of level panels in use: all up to 8, then steps of an eighth of the power of two, so that few tables serve all.
int few_counts(int level_panel_count);

/// Node t of the Chebyshev points, in (-1, 1), and barycentric weight.
double chebyshev_node(int points, int index);
double chebyshev_weight(int points, int index);

}  // namespace ampturn::model::contours
