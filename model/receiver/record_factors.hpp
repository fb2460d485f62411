#pragma once

#include <cstddef>

namespace ampturn::model::receiver {

/// The largest prime factor of a record's length: a mixed-radix Fourier transform takes as long as the sum of the factors.
constexpr std::size_t record_factor_max = 13;

/// Whether a length is a product of prime factors no larger than that; 0 is not.
constexpr bool has_small_factors(std::size_t length) {
    for (std::size_t factor = 2; factor <= record_factor_max; ++factor)
        while (length > 0 && length % factor == 0) length /= factor;
    return length == 1;
}

}  // namespace ampturn::model::receiver
