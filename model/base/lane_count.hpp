#pragma once

#include <cstddef>

namespace ampturn::model {

/// Lengths of arrays that vectors run over are multiples of this.
inline constexpr std::size_t lane_count = 8;

/// The sum of so many running sums, always added up in this order.
inline double sum_of_lanes(const double* x) {
    return ((x[0] + x[4]) + (x[2] + x[6])) + ((x[1] + x[5]) + (x[3] + x[7]));
}

}  // namespace ampturn::model
