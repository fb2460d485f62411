#pragma once

#include <cstdint>

#include "model/receiver/ratio.hpp"

/// Clocks that the unit has not, and figures of bins and mains that no plan asks for. Exact rational arithmetic, as that of
/// model/receiver/clock_and_bins.hpp.
namespace ampturn::reference {

/// Timer with prescaler 1..prescaler_max and period 2..period_max: f = clock/(toggle prescaler period).
/// Smallest error over all pairs, ties to the smaller prescaler.
struct TimerChoice {
    std::int64_t prescaler, period;
    model::receiver::Ratio frequency_hz;
    double error_ppm;
};
TimerChoice nearest_timer(std::int64_t clock_hz, std::int64_t prescaler_max, std::int64_t period_max,
                          std::int64_t toggle, model::receiver::Ratio target_hz);

/// Phase accumulator: word = round-half-up(f 2^bits/clock), bits 1..62.
struct AccumulatorChoice {
    std::int64_t word;
    double frequency_hz, error_hz, error_ppm;
};
AccumulatorChoice nearest_accumulator(std::int64_t clock_hz, int bits, model::receiver::Ratio target_hz);

/// Whole cycles that fit in a dwell, and the dwells of that many and of the next whole number.
struct DwellCycles {
    std::int64_t whole_cycles;
    double unused_s, whole_dwell_s, next_whole_dwell_s;
};
DwellCycles cycles_in_dwell(model::receiver::Ratio dwell_s, model::receiver::Ratio frequency_hz);

/// Loss of a record without a window at an offset from its bin, -20 log10(sin x/x), x = pi times the offset.
double rectangular_scalloping_db(double offset_bins);

bool below_nyquist(model::receiver::Ratio sample_rate_hz, model::receiver::Ratio frequency_hz);

/// Nearest odd harmonic of the mains (midway: the one whose order is 1 more than a multiple of 4).
struct OddMainsOffset {
    std::int64_t harmonic;
    double offset_hz;
};
OddMainsOffset odd_mains_place(model::receiver::Ratio mains_hz, model::receiver::Ratio frequency_hz);

}  // namespace ampturn::reference
