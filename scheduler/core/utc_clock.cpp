#include "scheduler/core/utc_clock.hpp"

#include "scheduler/core/uint128.hpp"

namespace ampturn::core {
namespace {

std::uint64_t second_length_q32(std::uint32_t clock_hz, std::int32_t error_ppb) {
    const std::uint32_t size_ppb =
        error_ppb < 0 ? 0u - static_cast<std::uint32_t>(error_ppb) : static_cast<std::uint32_t>(error_ppb);
    const std::uint64_t scaled = std::uint64_t{clock_hz} * size_ppb;
    const std::uint64_t change = divide({scaled >> 32, scaled << 32}, 1'000'000'000u);
    const std::uint64_t nominal = std::uint64_t{clock_hz} << 32;
    return error_ppb < 0 ? nominal - change : nominal + change;
}

}  // namespace

UtcClock::UtcClock(std::uint32_t clock_hz, std::int32_t error_ppb)
    : second_length_q32_(second_length_q32(clock_hz, error_ppb)),
      reciprocal_q96_(divide({std::uint64_t{1} << 32, 0}, second_length_q32_)) {}

void UtcClock::set(Instant at, std::uint64_t utc_second) {
    at_ = at;
    second_ = utc_second;
    known_ = true;
}

Instant UtcClock::instant_of(std::uint64_t utc_second) const {
    const Uint128 product = multiply(utc_second - second_, second_length_q32_);
    return at_ + Ticks{(product.high << 32) | (product.low >> 32)};
}

std::uint64_t UtcClock::second_at_or_after(Instant t) const {
    // e * 2^32 / length, from below: the reciprocal is less than 1 short of 2^96 / length, so the product is
    // less than e / 2^64 < 1 short, and rounding down costs less than 1; instant_of() rounds down less than a tick.
    std::uint64_t second = second_ + multiply((t - at_).count(), reciprocal_q96_).high;
    for (int i = 0; i < 3; ++i)
        if (instant_of(second) < t) ++second;
    return second;
}

std::uint64_t UtcClock::minute_at_or_after(Instant t) const {
    const std::uint64_t second = second_at_or_after(t);
    const std::uint32_t past = second_of_minute(second);
    return past == 0 ? second : second + (60 - past);
}

}  // namespace ampturn::core
