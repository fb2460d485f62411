#pragma once

#include <vector>

#include "model/integrals/integral_terms.hpp"
#include "model/integrals/lagged_sums.hpp"
#include "model/integrals/layer_kernels.hpp"

namespace ampturn::model::integrals {

/// Terms at nodes that bands share.
struct RayTerms {
    TermArrays rise, fall;
};

/// Memory to work in, kept from one offset, ground or frequency to the next: asking the system for it each
/// time costs more than the arithmetic. Whoever uses a part of it first fills it; nothing in a result depends
/// on what was there. One thread at a time.
struct FieldWorkspace {
    SampledKernels own;  // contours of one offset
    TermArrays own_terms;
    std::vector<SampledKernels> bands;  // spare ones
    std::vector<RayTerms> rays;         // spare ones
    TermArrays band_terms, band_check_terms;
    std::vector<double> band_values, chebyshev;
    SampledKernels filter_abscissae;  // of the filter
    LaggedKernels lagged;
    std::vector<double> rows;
};

}  // namespace ampturn::model::integrals
