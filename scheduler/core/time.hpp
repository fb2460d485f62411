#pragma once

#include <compare>
#include <concepts>
#include <cstdint>

namespace ampturn::core {

/// Never defined: a negative constant span or moment is a compile error that names this.
int span_or_moment_is_negative();

/// A span of time in periods of the reference clock. Whole and never negative; `Ticks{2.5}` does not compile.
class Ticks {
  public:
    constexpr Ticks() = default;
    template <std::unsigned_integral Count>
    constexpr explicit Ticks(Count count) : count_(count) {}
    template <std::signed_integral Count>
    consteval explicit Ticks(Count count)
        : count_(static_cast<std::uint64_t>(count >= 0 ? count : span_or_moment_is_negative())) {}

    constexpr std::uint64_t count() const { return count_; }
    constexpr auto operator<=>(const Ticks&) const = default;
    constexpr Ticks& operator+=(Ticks other) {
        count_ += other.count_;
        return *this;
    }
    friend constexpr Ticks operator+(Ticks a, Ticks b) { return Ticks{a.count_ + b.count_}; }
    /// a >= b.
    friend constexpr Ticks operator-(Ticks a, Ticks b) { return Ticks{a.count_ - b.count_}; }
    friend constexpr Ticks operator*(Ticks a, std::uint32_t times) { return Ticks{a.count_ * times}; }

  private:
    std::uint64_t count_ = 0;
};

/// A moment: ticks since power-on. 2^64 ticks of 24 MHz are 24 000 years. Two moments cannot be added.
class Instant {
  public:
    constexpr Instant() = default;
    template <std::unsigned_integral Count>
    constexpr explicit Instant(Count ticks_since_power_on) : ticks_(ticks_since_power_on) {}
    template <std::signed_integral Count>
    consteval explicit Instant(Count ticks)
        : ticks_(static_cast<std::uint64_t>(ticks >= 0 ? ticks : span_or_moment_is_negative())) {}

    /// Later than every real moment: "no deadline".
    static constexpr Instant never() { return Instant{~std::uint64_t{0}}; }

    constexpr std::uint64_t ticks_since_power_on() const { return ticks_; }
    constexpr auto operator<=>(const Instant&) const = default;
    friend constexpr Instant operator+(Instant t, Ticks span) { return Instant{t.ticks_ + span.count()}; }
    /// later >= earlier.
    friend constexpr Ticks operator-(Instant later, Instant earlier) {
        return Ticks{later.ticks_ - earlier.ticks_};
    }

  private:
    std::uint64_t ticks_ = 0;
};

/// Quotient rounded up; denominator > 0, numerator + denominator - 1 < 2^32.
constexpr std::uint32_t ceil_div(std::uint32_t numerator, std::uint32_t denominator) {
    return (numerator + denominator - 1) / denominator;
}

/// Milliseconds as ticks of a clock, rounded up; exact when the clock is a whole number of kHz. No 64-bit
/// division: the part of clock_hz below a kHz is at most 999, and 999 * 4 000 000 fits 32 bits.
/// clock_hz any, span_ms <= 4 000 000.
constexpr Ticks ticks_of_ms(std::uint32_t clock_hz, std::uint32_t span_ms) {
    return Ticks{std::uint64_t{clock_hz / 1000} * span_ms + ceil_div(clock_hz % 1000 * span_ms, 1000)};
}

}  // namespace ampturn::core
