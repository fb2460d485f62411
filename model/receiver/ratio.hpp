#pragma once

#include <cstdint>
#include <optional>

/// Exact rational arithmetic: what is on a bin is on it, not nearly.
namespace ampturn::model::receiver {

/// numerator/denominator, denominator > 0, reduced by the maker. Sizes: numerators and denominators below 1e18.
struct Ratio {
    std::int64_t numerator;
    std::int64_t denominator;
    double value() const { return static_cast<double>(numerator) / static_cast<double>(denominator); }
};
/// The shortest decimal that reads back as the double, as a ratio; nullopt outside 1e-9..1e15.
std::optional<Ratio> ratio_of_double(double value);

/// Products of two 64-bit numbers.
__extension__ typedef __int128 Wide;

Wide absolute(Wide v);
Wide common_divisor(Wide a, Wide b);
/// n/d, rounded once where both fit a double in lowest terms; d > 0.
double quotient(Wide n, Wide d);
/// n/d in lowest terms; d > 0.
Ratio reduced(Wide n, Wide d);
/// Rounded down; d > 0.
Wide floor_div(Wide n, Wide d);
/// Nearest whole number to n/d, d > 0; half way, the upper.
Wide nearest_half_up(Wide n, Wide d);

}  // namespace ampturn::model::receiver
