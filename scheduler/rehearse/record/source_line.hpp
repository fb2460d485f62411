#pragma once

#include <array>
#include <complex>
#include <span>

#include "scheduler/rehearse/record/noise_stream.hpp"

namespace ampturn::rehearse::record {

/// e^{2 pi i cycles}, whole cycles taken out first, so that long times keep their phase.
std::complex<double> unit_phasor(double cycles);

/// Peak complex amplitude of a sinusoid in each channel.
using ChannelAmplitudes = std::array<std::complex<double>, channel_count>;

/// Adds Re(amplitude e^{2 pi i (phase_cycles + n cycles_a_sample)}), n = 0 .. count-1, to the block from sample `begin` on.
void add_tone(ChannelBlock& block, std::size_t begin, std::size_t count, double phase_cycles,
              double cycles_a_sample, const ChannelAmplitudes& amplitude);

/// One spectral line of the source as a receiver meets it.
struct SourceLine {
    double frequency_hz;  // in receiver time
    ChannelAmplitudes amplitude;
};
/// Adds the lines times the envelope of the fundamental; time 0 is the start of the ramp.
void add_source(ChannelBlock& block, std::span<const SourceLine> lines,
                const model::receiver::StepEnvelope& envelope, double fundamental_hz, double first_s,
                double sample_rate_hz);

}  // namespace ampturn::rehearse::record
