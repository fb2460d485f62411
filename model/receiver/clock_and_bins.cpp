#include "model/receiver/clock_and_bins.hpp"

#include <algorithm>
#include <cmath>

namespace ampturn::model::receiver {

DivisorChoice nearest_divisor(std::int64_t clock_hz, Ratio target_hz) {
    const Wide half_low = floor_div(Wide{clock_hz} * target_hz.denominator, Wide{target_hz.numerator} * 2);
    const Wide clock = Wide{clock_hz} * target_hz.denominator;
    Wide best = 0;
    double best_error = 0;
    for (Wide half = std::max(half_low, Wide{1}); half <= half_low + 1; ++half) {
        const double error = std::abs(
            quotient(clock - Wide{target_hz.numerator} * 2 * half, Wide{target_hz.numerator} * 2 * half));
        if (best == 0 || error < best_error) {
            best = half;
            best_error = error;
        }
    }
    if (best == 0) best = 1;
    const Wide product = 2 * best;
    return {static_cast<std::int64_t>(product), reduced(clock_hz, product),
            quotient((clock - Wide{target_hz.numerator} * product) * 1000000,
                     Wide{target_hz.numerator} * product)};
}

BinPosition bin_place(Ratio sample_rate_hz, std::int64_t record_length, Ratio f) {
    const Wide n = Wide{f.numerator} * record_length * sample_rate_hz.denominator;
    const Wide d = Wide{f.denominator} * sample_rate_hz.numerator;
    const Wide bin = nearest_half_up(n, d);
    const double offset = quotient(n - bin * d, d);
    return {static_cast<std::int64_t>(bin), offset, offset == 0};
}

MainsOffset mains_place(Ratio mains_hz, Ratio f) {
    // Line and mains over one denominator.
    const Wide denominator = Wide{f.denominator} * mains_hz.denominator;
    const Wide line = Wide{f.numerator} * mains_hz.denominator;
    const Wide step = Wide{f.denominator} * mains_hz.numerator;
    const Wide n = std::max(nearest_half_up(line, step), Wide{1});
    return {static_cast<std::int64_t>(n), quotient(line - n * step, denominator)};
}

}  // namespace ampturn::model::receiver
