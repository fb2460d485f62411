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
#include "scheduler/run/counter_random.hpp"

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

/// One impulse of a Poisson train, from draws 2 i and 2 i + 1.
struct DrawnImpulse {
    double gap;  // to the one before, in mean gaps
    double height, azimuth_rad;
};
DrawnImpulse drawn_impulse(const model::receiver::ImpulseStatistics& statistics,
                           const run::CounterRandom& random, std::uint64_t i);

/// Coefficients of the natural and sensor noise on the bins of one block length and sample rate, for x + i y of the two
/// horizontal axes as one complex series: bins 0 .. N-1 of its transform, the upper half belonging to negative
/// frequencies. Shared by the steps and polarisations recorded at that rate.
struct NoiseShape {
    double sample_rate_hz;
    std::size_t block_length;
    model::receiver::ImpulseStatistics impulses;
    std::vector<double> h;         // of H's Gaussian value
    std::vector<double> foretold;  // of the same value in E, over the impedance
    std::vector<double> free;      // of E's own Gaussian value
    std::vector<double> impulse;   // of the impulse train's transform, in H
    std::vector<double> impedance_re_ohm, impedance_im_ohm;
    std::vector<double> vertical;  // of Hz, bins 0 .. N/2
};
/// Nothing below 1 Hz: the models end there. block_length a multiple of 16.
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

}  // namespace ampturn::rehearse::record
