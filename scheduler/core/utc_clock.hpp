#pragma once

#include <cstdint>

#include "scheduler/core/time.hpp"

namespace ampturn::core {

/// Ties ticks to UTC: one known pair (instant, second) and the length of a UTC second in ticks, held to
/// 2^-32 tick so that a century of seconds rounds by less than one tick. Hosts may keep a second one with the
/// clock's true error beside the unit's own, and watch the two drift apart. No division after construction.
class UtcClock {
  public:
    /// clock_hz 100 kHz to 100 MHz, error_ppb (+ = fast) within +-1 000 000.
    UtcClock(std::uint32_t clock_hz, std::int32_t error_ppb);

    /// Source of the mark: a receiver's one pulse a second, stamped with `at`.
    void set(Instant at, std::uint64_t utc_second);
    bool known() const { return known_; }
    Instant set_at() const { return at_; }
    std::uint64_t second_set() const { return second_; }

    /// The tick nearest below the start of a UTC second; known(), utc_second >= second_set(), less than 2^32 later.
    Instant instant_of(std::uint64_t utc_second) const;
    /// First whole second whose instant is not before `t`; known(), t >= set_at(), less than 2^31 s later.
    std::uint64_t second_at_or_after(Instant t) const;
    /// First whole minute likewise.
    std::uint64_t minute_at_or_after(Instant t) const;

  private:
    std::uint64_t second_length_q32_;  ///< ticks, 32 fractional bits
    std::uint64_t reciprocal_q96_;     ///< 2^96 / second_length_q32_
    Instant at_;
    std::uint64_t second_ = 0;
    bool known_ = false;
};

/// utc_second modulo 60 without a 64-bit division (2^32 mod 60 = 16).
constexpr std::uint32_t second_of_minute(std::uint64_t utc_second) {
    return (static_cast<std::uint32_t>(utc_second >> 32) % 60 * 16 +
            static_cast<std::uint32_t>(utc_second) % 60) %
           60;
}

}  // namespace ampturn::core
