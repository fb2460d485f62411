#pragma once

#include <cstdint>

#include "scheduler/run/counter_random.hpp"

namespace ampturn::run {

/// A converter channel: adds noise from the seeded generator, holds the value to its range as a converter's
/// input does, rounds to a code, and gives back the code's value in thousandths of the unit (mA, mV, millidegrees).
struct AdcChannel {
    double lowest, highest;  // range, in the unit; lowest < highest
    int bits;                // 1 to 24
    double noise_rms;        // in the unit
};

class Adc {
  public:
    /// `stream` tells this converter's noise from others of the same seed.
    Adc(std::uint64_t seed, std::uint64_t stream) : noise_(seed, stream) {}

    /// The sample's number makes its noise: samples of the same number, by which the unit counts the times over which a converter
    /// averages, read the same noise, whatever was sampled in between.
    /// A NaN reads as the lowest code.
    std::int32_t read_milli(const AdcChannel& channel, double value, std::uint64_t sample_number) const;

  private:
    CounterRandom noise_;
};

}  // namespace ampturn::run
