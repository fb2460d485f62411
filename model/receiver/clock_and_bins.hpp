#pragma once

#include <cstdint>

#include "model/receiver/ratio.hpp"

/// Frequencies that the clock can make and the receiver can hold, in exact rational arithmetic.
namespace ampturn::model::receiver {

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
};
BinPosition bin_place(Ratio sample_rate_hz, std::int64_t record_length, Ratio frequency_hz);

/// Nearest harmonic of the mains, n >= 1 (half up).
struct MainsOffset {
    std::int64_t harmonic;
    double offset_hz;
};
MainsOffset mains_place(Ratio mains_hz, Ratio frequency_hz);

}  // namespace ampturn::model::receiver
