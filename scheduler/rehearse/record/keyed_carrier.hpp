#pragma once

#include <array>
#include <complex>
#include <cstdint>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/record/source_line.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::rehearse::record {

/// An interferer as a station receives it: a carrier of constant envelope whose frequency is
/// keyed by random bits (minimum-shift keying, model/receiver/noise.hpp), a plane wave from one direction, E
/// correlated by the ground.
struct KeyedCarrier {
    double frequency_hz;
    double bits_per_s;  // 0: not keyed
    ChannelAmplitudes amplitude;
};
/// Those whose level is known; directions from (seed, stream).
std::vector<KeyedCarrier> keyed_carriers(const std::vector<plan::Interferer>& interferers,
                                         const Impedance& impedance, std::uint64_t seed,
                                         std::uint64_t stream);

/// Adds one carrier to a recording, block after block from its first sample on; bits and starting phase from
/// (seed, stream). Beyond 0.45 of the sample rate it is left out, as after an ideal filter.
class KeyedCarrierWave {
  public:
    KeyedCarrierWave(const KeyedCarrier& carrier, double sample_rate_hz, std::uint64_t seed,
                     std::uint64_t stream);
    bool heard() const { return heard_; }
    void add(ChannelBlock& block);
    /// Goes on by so many samples that nobody records.
    void skip(std::size_t samples);

  private:
    /// Samples up to the next bit, over which the phase runs straight.
    struct Run {
        std::size_t count;
        double phase_cycles, cycles_a_sample;
    };
    Run next_run(std::size_t samples_left);
    bool bit(std::uint64_t index) const;

    KeyedCarrier carrier_;
    double sample_rate_hz_;
    bool heard_;
    run::CounterRandom random_;
    double phase_cycles_;     // of the next sample
    double to_next_bit_ = 0;  // samples until the next bit begins
    std::uint64_t next_bit_ = 0;
    double shift_hz_ = 0;
};

}  // namespace ampturn::rehearse::record
