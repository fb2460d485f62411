#pragma once

#include <array>
#include <complex>
#include <cstddef>
#include <cstdint>

#include "model/integrals/layer_kernels.hpp"

namespace ampturn::model::integrals {

/// Horizontal distance and heights of a dipole and a receiver, both in air.
struct Placement {
    double offset_m;           // > 0
    double source_height_m;    // >= 0
    double receiver_height_m;  // >= 0, height of the receiver, -z
};

/// The ten Hankel integrals the fields are combined from, in the order J0 first, J1
/// after. Kernels in docs/physics.md.
enum Term : std::size_t { p0, s0, q0, kr0, hz0, ps1, qr1, pz1, f1, hr1, term_count };
inline constexpr std::size_t first_j1_term = ps1;

/// Kernels of the ten integrals over the nodes of a contour. Two forms: whole (direct and reflected wave
/// together) and reflected alone (the direct wave is then added in closed form).
struct TermArrays {
    std::array<ComplexArray, term_count> whole, reflected;
};

/// Carrier functions times quadrature weights, d lambda left in units of the contour's length.
struct CarrierWeights {
    ComplexArray order_0, order_1;
};

/// Values and sums of absolute values (|re| + |im|) of the ten integrals.
struct TermSums {
    std::array<std::complex<double>, term_count> value{};
    std::array<double, term_count> magnitude{};
};

enum class Forms { whole, both };

/// Arrays are as long as lambda, which must be a multiple of `lane_count` long (pad with zero weight).
void make_terms(const LayerKernels& kernels, const ComplexArray& lambda, const SurfaceResponse& response,
                double source_height_m, double receiver_height_m, Forms forms, TermArrays& out);

/// A set of terms, one bit each.
using TermSet = std::uint32_t;
constexpr TermSet set_of(Term t) { return TermSet{1} << t; }
inline constexpr TermSet all_terms = (TermSet{1} << term_count) - 1;
inline constexpr TermSet horizontal_terms = all_terms & ~(set_of(hz0) | set_of(f1) | set_of(hr1));

/// Sums of term times carrier over the nodes [begin, end), a multiple of lane_count apart; always added up in
/// the same order, whatever the vector width. What is not wanted stays zero.
struct Wanted {
    TermSet terms = all_terms;
    bool magnitude = true;  // sums of absolute values
};
TermSums sum_terms(const std::array<ComplexArray, term_count>& terms, const CarrierWeights& weights,
                   std::size_t begin, std::size_t end, Wanted wanted = {});

}  // namespace ampturn::model::integrals
