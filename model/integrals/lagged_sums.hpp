#pragma once

#include <array>
#include <cstddef>

#include "model/integrals/layer_kernels.hpp"

namespace ampturn::model::integrals {

/// Kernels of the five quasi-static integrals of horizontal dipoles over real wavenumbers (docs/physics.md,
/// receiver on the surface): P lambda, Q u0 lambda with J0; P, Q u0, P lambda^2 with J1.
inline constexpr std::size_t lagged_j0_count = 2, lagged_count = 5;
struct LaggedKernels {
    std::array<ComplexArray, lagged_count> terms;
};

/// lambda real; its length a multiple of lane_count. The source a point, or a column of dipoles about its height.
void make_lagged_kernels(const ComplexArray& lambda, const SurfaceResponse& response, double source_height_m,
                         double source_half_height_m, LaggedKernels& out);

/// sums[2 k], sums[2 k + 1]: real and imaginary part of sum_i kernel_k[begin + i] weight_i, i < count. Weights of J0
/// for the first two kernels, of J1 for the others. Added up in the same order whatever the vector width.
struct FilterWeights {
    const double *j0, *j1;
    std::size_t count;
};
void lagged_sums(const LaggedKernels& kernels, std::size_t begin, const FilterWeights& weights,
                 std::array<double, 2 * lagged_count>& sums);

}  // namespace ampturn::model::integrals
