#pragma once

#include <array>
#include <cstdint>

namespace ampturn::run {

/// Counter-based generator: a draw is a pure function of (seed, stream, index), so results do not depend on
/// the order of evaluation or on the number of threads. Philox 4x32-10. Source: Salmon, Moraes, Dror & Shaw,
/// Parallel random numbers: as easy as 1, 2, 3 (SC11, 2011).
class CounterRandom {
  public:
    /// `stream` names the quantity drawn (or the draw and the quantity together).
    CounterRandom(std::uint64_t seed, std::uint64_t stream) : seed_(seed), stream_(stream) {}

    /// The 128 bits that belong to `index`.
    std::array<std::uint32_t, 4> block(std::uint64_t index) const;
    /// Uniform in (0, 1): never exactly 0 or 1; 53 bits.
    double uniform(std::uint64_t index) const;
    /// Two independent standard normal values (Box-Muller).
    std::array<double, 2> normal_pair(std::uint64_t index) const;
    double normal(std::uint64_t index) const { return normal_pair(index)[0]; }

  private:
    std::uint64_t seed_, stream_;
};

/// Stream number from a name, stable for ever (FNV-1a, 64 bit); combine(a, b) joins two into one.
std::uint64_t stream_of(const char* name);
std::uint64_t combine(std::uint64_t a, std::uint64_t b);

}  // namespace ampturn::run
