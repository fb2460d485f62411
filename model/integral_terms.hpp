#pragma once

#include <array>
#include <complex>
#include <cstddef>

#include "model/layer_kernels.hpp"

namespace ampturn::model {

/// Horizontal distance and heights of a dipole and a receiver, both in air.
struct Placement {
    double offset_m;           // > 0
    double source_height_m;    // >= 0
    double receiver_height_m;  // >= 0, height of the receiver, -z
};

/// The ten Hankel integrals the fields are combined from, in the order J0 first, J1 after. Kernels in
/// docs/physics.md.
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
inline constexpr std::size_t lane_count = 8;
void make_terms(const LayerKernels& kernels, const ComplexArray& lambda, const SurfaceResponse& response,
                double source_height_m, double receiver_height_m, Forms forms, TermArrays& out);

/// Sums of term times carrier over the nodes [begin, end), a multiple of lane_count apart; always added up in
/// the same order, whatever the vector width. What is not wanted stays zero.
struct Wanted {
    bool vertical = true;   // the terms of vertical dipoles
    bool magnitude = true;  // sums of absolute values
};
TermSums sum_terms(const std::array<ComplexArray, term_count>& terms, const CarrierWeights& weights,
                   std::size_t begin, std::size_t end, Wanted wanted = {});

/// Sum of complex kernel values times real filter weights.
std::complex<double> filter_sum(const double* kernel_re, const double* kernel_im, const double* weights,
                                std::size_t count);

}  // namespace ampturn::model
