#pragma once

#include <cstdint>

#include "model/receiver/clock_and_bins.hpp"

/// Clocks that the unit does not have, for cases of others: a timer with prescaler, a phase accumulator; and whole cycles in a
/// dwell.
namespace ampturn::reference {

using model::receiver::Ratio;

/// Timer with prescaler 1..prescaler_max and period 2..period_max: f = clock/(toggle prescaler period).
/// Smallest error over all pairs, ties to the smaller prescaler.
struct TimerChoice {
    std::int64_t prescaler, period;
    Ratio frequency_hz;
    double error_ppm;
};
TimerChoice nearest_timer(std::int64_t clock_hz, std::int64_t prescaler_max, std::int64_t period_max,
                          std::int64_t toggle, Ratio target_hz);

/// Phase accumulator: word = round-half-up(f 2^bits/clock), bits 1..62.
struct AccumulatorChoice {
    std::int64_t word;
    double frequency_hz, error_hz, error_ppm;
};
AccumulatorChoice nearest_accumulator(std::int64_t clock_hz, int bits, Ratio target_hz);

/// Whole cycles that fit in a dwell, and the dwells of that many and of the next whole number.
struct DwellCycles {
    std::int64_t whole_cycles;
    double unused_s, whole_dwell_s, next_whole_dwell_s;
};
DwellCycles whole_cycles_in(Ratio dwell_s, Ratio frequency_hz);

}  // namespace ampturn::reference
