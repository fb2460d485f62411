#pragma once

#include <array>
#include <complex>
#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <vector>

#include "model/receiver/noise.hpp"
#include "model/receiver/receiver_signal.hpp"

namespace ampturn::rehearse::record {

enum ChannelIndex : std::size_t { ex, ey, hx, hy, hz, channel_count };

/// Samples of the channels side by side, V/m and A/m.
struct ChannelBlock {
    std::array<std::vector<double>, channel_count> samples;
    std::size_t size() const { return samples[ex].size(); }
    void resize(std::size_t count) {
        for (auto& channel : samples) channel.resize(count);
    }
};

/// Densities at a station over frequency, one-sided, per axis.
struct DensityAt {
    double natural_h, sensor_h, sensor_e;  // (A/m)^2/Hz, (A/m)^2/Hz, (V/m)^2/Hz
};
using Densities = std::function<DensityAt(double frequency_hz)>;
using Impedance = std::function<std::complex<double>(double frequency_hz)>;

/// Coefficients of the natural and sensor noise on the bins of one block length and sample rate; shared by
/// the steps and polarisations recorded at that rate.
struct NoiseShape {
    double sample_rate_hz;
    std::size_t block_length;
    model::receiver::ImpulseStatistics impulses;
    std::vector<model::receiver::CorrelatedPair> pair;  // times root of bin width
    std::vector<double> impulse_h, vertical_h;          // of the impulse train's spectrum; sensor of Hz
    std::vector<std::complex<double>> impedance_ohm;
};
/// Nothing below 1 Hz: the models end there. block_length even.
NoiseShape noise_shape(const Densities& densities, const Impedance& impedance, double sample_rate_hz,
                       std::size_t block_length, const model::receiver::ImpulseStatistics& impulses);

/// Endless noise of the natural field and of the sensors: blocks drawn bin by bin, joined by cross-fades
/// whose squares add to one, so that the power is even. A function of (seed, stream) and nothing else.
class NoiseStream {
  public:
    NoiseStream(const NoiseShape& shape, std::uint64_t seed, std::uint64_t stream, bool with_vertical);
    ~NoiseStream();
    NoiseStream(NoiseStream&&) noexcept;

    /// Samples a call of next() gives.
    std::size_t hop() const;
    /// Overwrites `block` with the next hop() samples.
    void next(ChannelBlock& block);

  private:
    struct Work;
    std::unique_ptr<Work> work_;
};

/// One period of the mains field at a station in each channel, looked up by phase.
class MainsWave {
  public:
    /// Harmonics below half the sample rate. Magnetic direction the same for all (the line's), phases of the
    /// harmonics from (seed, stream); E from the ground's impedance.
    MainsWave(const model::receiver::Mains& mains, const Impedance& impedance, double sample_rate_hz,
              std::uint64_t seed, std::uint64_t stream);
    /// Adds the field from sample `first_s` of absolute time on.
    void add(ChannelBlock& block, double first_s, double sample_rate_hz) const;

  private:
    bool any_ = false;
    model::receiver::MainsWander wander_{};
    std::array<std::vector<double>, 4> table_;  // one longer than a period, for interpolation
};

/// One spectral line of the source as a receiver meets it: peak complex amplitude in each channel.
struct SourceLine {
    double frequency_hz;  // in receiver time
    std::array<std::complex<double>, channel_count> amplitude;
};
/// Adds the lines times the envelope of the fundamental; time 0 is the start of the ramp.
void add_source(ChannelBlock& block, std::span<const SourceLine> lines,
                const model::receiver::StepEnvelope& envelope, double fundamental_hz, double first_s,
                double sample_rate_hz);

}  // namespace ampturn::rehearse::record
