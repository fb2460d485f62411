#pragma once

#include <cstdint>

namespace ampturn::core {

/// 128 bits, for products of two 64-bit numbers; ARM has no such type and no 64-bit division.
struct Uint128 {
    std::uint64_t high, low;
};

/// a * b, exactly: four 32 x 32 multiplications.
constexpr Uint128 multiply(std::uint64_t a, std::uint64_t b) {
    const std::uint64_t a0 = a & 0xFFFFFFFFu, a1 = a >> 32, b0 = b & 0xFFFFFFFFu, b1 = b >> 32;
    const std::uint64_t middle = a1 * b0 + ((a0 * b0) >> 32);
    const std::uint64_t middle2 = a0 * b1 + (middle & 0xFFFFFFFFu);
    return {a1 * b1 + (middle >> 32) + (middle2 >> 32), a * b};
}

/// numerator / denominator rounded down, by 128 shifts and subtractions: for set-up and relay-settle time,
/// not for answers. denominator > numerator.high, so that the quotient fits; denominator < 2^63.
constexpr std::uint64_t divide(Uint128 numerator, std::uint64_t denominator) {
    std::uint64_t remainder = 0, result = 0;
    for (int bit = 0; bit < 128; ++bit) {
        remainder = (remainder << 1) | (numerator.high >> 63);
        numerator = {(numerator.high << 1) | (numerator.low >> 63), numerator.low << 1};
        result <<= 1;
        if (remainder >= denominator) {
            remainder -= denominator;
            result |= 1;
        }
    }
    return result;
}

}  // namespace ampturn::core
