#pragma once

#include <cstddef>

namespace ampturn::model {

/// Lengths of arrays that vectors run over are multiples of this.
inline constexpr std::size_t lane_count = 8;

}  // namespace ampturn::model
