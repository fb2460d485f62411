#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

/// Frequencies that clocks can make and receivers can hold, in exact rational arithmetic: what is on a bin is
/// on it, not nearly.
namespace ampturn::model::receiver {

/// numerator/denominator, denominator > 0, reduced by the maker. Sizes: numerators and denominators below 1e18.
struct Ratio {
    std::int64_t numerator;
    std::int64_t denominator;
    double value() const { return static_cast<double>(numerator) / static_cast<double>(denominator); }
};
/// A decimal as written ("2154.43", "1e3", "-0.5"); nullopt when it is none or needs more than 18 digits.
std::optional<Ratio> ratio_of_decimal(std::string_view text);
/// The shortest decimal that reads back as the double, as a ratio; nullopt outside 1e-9..1e15.
std::optional<Ratio> ratio_of_double(double value);

/// Divisor of the reference clock, even, >= 2 (half a period is a whole number of ticks), nearest in frequency.
struct DivisorChoice {
    std::int64_t divisor;
    Ratio frequency_hz;
    double error_ppm;
};
DivisorChoice nearest_divisor(std::int64_t clock_hz, Ratio target_hz);

/// Place on the receiver's transform: nearest bin (half up), offset in bins.
struct BinPosition {
    std::int64_t bin;
    double offset_bins;
    bool exact;
    double scalloping_rectangular_db;
    bool below_nyquist;
};
BinPosition bin_place(Ratio sample_rate_hz, std::int64_t record_length, Ratio frequency_hz);

/// Nearest harmonic of the mains, n >= 1 (half up), and the nearest odd one (midway: the
/// one whose order is 1 more than a multiple of 4).
struct MainsOffset {
    std::int64_t harmonic;
    double offset_hz;
    std::int64_t odd_harmonic;
    double odd_offset_hz;
};
MainsOffset mains_place(Ratio mains_hz, Ratio frequency_hz);

}  // namespace ampturn::model::receiver
