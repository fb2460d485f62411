#pragma once

#include <cstdint>

#include "model/receiver/clock_and_bins.hpp"

/// Whole-number arithmetic of 128 bits for ratios: nothing is rounded but by the names that say so.
namespace ampturn::model::receiver::exact {

__extension__ typedef __int128 Wide;

inline Wide absolute(Wide v) { return v < 0 ? -v : v; }
inline Wide common_divisor(Wide a, Wide b) {
    a = absolute(a);
    b = absolute(b);
    while (b != 0) {
        const Wide r = a % b;
        a = b;
        b = r;
    }
    return a;
}
inline double quotient(Wide n, Wide d) {
    const Wide g = common_divisor(n, d);
    // Both divisions are exact: the ratio in lowest terms.
    const Wide numerator = n / g, denominator = d / g;
    return static_cast<double>(numerator) / static_cast<double>(denominator);
}
inline Ratio reduced(Wide n, Wide d) {
    const Wide g = common_divisor(n, d);
    return {static_cast<std::int64_t>(n / g), static_cast<std::int64_t>(d / g)};
}
inline Wide floor_div(Wide n, Wide d) {
    const Wide q = n / d;
    return n % d != 0 && (n < 0) != (d < 0) ? q - 1 : q;
}
// Nearest whole number to n/d, d > 0.
inline Wide nearest_half_up(Wide n, Wide d) { return floor_div(2 * n + d, 2 * d); }
inline Wide nearest_half_even(Wide n, Wide d) {
    const Wide up = nearest_half_up(n, d);
    return 2 * (up * d - n) == d && up % 2 != 0 ? up - 1 : up;
}

}  // namespace ampturn::model::receiver::exact
