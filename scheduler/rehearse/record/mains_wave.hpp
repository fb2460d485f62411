#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "scheduler/rehearse/record/noise_stream.hpp"

namespace ampturn::rehearse::record {

/// The mains field at a station: a direction, and one period of H along it and of E across it, looked up by phase.
class MainsWave {
  public:
    /// Harmonics below half the sample rate. Magnetic direction the same for all (the line's), phases of the
    /// harmonics from (seed, stream); E from the ground's impedance.
    MainsWave(const model::receiver::Mains& mains, const Impedance& impedance, double sample_rate_hz,
              std::uint64_t seed, std::uint64_t stream);
    /// Adds the field from sample `first_s` of absolute time on.
    void add(ChannelBlock& block, double first_s, double sample_rate_hz) const;

    /// False: no mains, nothing below is to be asked for.
    bool any() const { return any_; }
    /// The same field along its own directions, over what e and h (of equal size) hold. Channel c of Ex, Ey is direction()[c]
    /// times e; of Hx, Hy times h.
    void along(std::span<double> e, std::span<double> h, double first_s, double sample_rate_hz) const;
    const std::array<double, 4>& direction() const { return direction_; }
    /// Most that either comes to.
    double crest_e_v_per_m() const { return crest_e_v_per_m_; }
    double crest_h_a_per_m() const { return crest_h_a_per_m_; }

  private:
    bool any_ = false;
    model::receiver::MainsWander wander_{};
    std::array<double, 4> direction_{};  // of the channels: E's two, H's two
    double crest_e_v_per_m_ = 0, crest_h_a_per_m_ = 0;
    std::vector<double> table_;  // E, H, E, H ...: one pair longer than a period, for interpolation
};

}  // namespace ampturn::rehearse::record
