#include "scheduler/core/time.hpp"

#include <gtest/gtest.h>

#include <concepts>
#include <utility>

#include "scheduler/core/uint128.hpp"
#include "scheduler/core/utc_clock.hpp"

namespace ampturn::core {
namespace time_test {

// The compiler's own, as an independent reference.
__extension__ using NativeInt128 = __int128;
__extension__ using NativeUint128 = unsigned __int128;

template <typename A, typename B>
concept can_be_added = requires(A a, B b) {
    a + b;
};
static_assert(can_be_added<Instant, Ticks> && can_be_added<Ticks, Ticks>);
static_assert(!can_be_added<Instant, Instant>, "two moments have no sum");
static_assert(!std::constructible_from<Ticks, double> && !std::constructible_from<Instant, double>);
static_assert(!std::convertible_to<Ticks, std::uint64_t> && !std::convertible_to<std::uint64_t, Ticks>);

TEST(Time, MillisecondsAreExactOnWholeKilohertzAndRoundUpElsewhere) {
    static_assert(ticks_of_ms(24'000'000, 5'000) == Ticks{120'000'000});
    static_assert(ticks_of_ms(32'768, 1'000) == Ticks{32'768});
    EXPECT_EQ(ticks_of_ms(32'768, 1), Ticks{33});
    EXPECT_EQ(ticks_of_ms(99'999'999, 4'000'000), Ticks{399'999'996'000});
}

TEST(Time, TheCounterIsFarFromWrapForACentury) {
    // Closed form: 100 Julian years of 365.25 days at the fastest clock allowed, 100 MHz.
    constexpr std::uint64_t century_ticks = 100u * 36'525u / 100u * 86'400u * 100'000'000u;
    static_assert(~std::uint64_t{0} / century_ticks >= 58, "58 centuries at 100 MHz, 243 at 24 MHz");
    EXPECT_LT(Instant{century_ticks}, Instant::never());
}

TEST(Uint128, MultipliesLikeTheCompilersOwn128Bits) {
    std::uint64_t a = 0x9E3779B97F4A7C15u, b = 0xD1B54A32D192ED03u;
    for (int i = 0; i < 1'000; ++i) {
        a = a * 6'364'136'223'846'793'005u + 1;  // Knuth's MMIX generator
        b = b * 6'364'136'223'846'793'005u + 3;
        const auto exact = static_cast<NativeUint128>(a) * b;
        const Uint128 product = multiply(a, b);
        EXPECT_EQ(product.high, static_cast<std::uint64_t>(exact >> 64));
        EXPECT_EQ(product.low, static_cast<std::uint64_t>(exact));
        const std::uint64_t denominator = (b >> 1) | 1u, high = a % denominator;
        const auto numerator = static_cast<NativeUint128>(high) << 64 | b;
        EXPECT_EQ(divide({high, b}, denominator), static_cast<std::uint64_t>(numerator / denominator));
    }
    EXPECT_EQ(multiply(~std::uint64_t{0}, ~std::uint64_t{0}).high, ~std::uint64_t{0} - 1)
        << "closed form: (2^64 - 1)^2";
}

/// The same clock in 128-bit integers.
std::uint64_t exact_ticks(std::uint64_t seconds, std::uint32_t clock_hz, std::int32_t error_ppb) {
    const auto scaled = static_cast<NativeInt128>(seconds) * clock_hz *
                        (1'000'000'000 + static_cast<NativeInt128>(error_ppb));
    return static_cast<std::uint64_t>(scaled / 1'000'000'000);
}

TEST(UtcClock, MarksAreExactToATickForACentury) {
    for (const std::uint32_t clock_hz : {100'000u, 24'000'000u, 24'576'001u, 100'000'000u}) {
        for (const std::int32_t error_ppb : {0, 1, -1, 2'500, -50'000, 1'000'000, -1'000'000}) {
            UtcClock clock(clock_hz, error_ppb);
            clock.set(Instant{777}, 1'700'000'000);
            for (const std::uint64_t seconds : {0u, 1u, 2u, 59u, 60u, 86'400u, 31'557'600u, 3'155'760'000u}) {
                const std::uint64_t got = (clock.instant_of(1'700'000'000 + seconds) - Instant{777}).count();
                const std::uint64_t exact = exact_ticks(seconds, clock_hz, error_ppb);
                EXPECT_LE(got, exact + 1);
                EXPECT_LE(exact, got + 1) << "independent: 128-bit integers; at most one tick of rounding";
            }
        }
    }
}

TEST(UtcClock, FindsTheFirstSecondNotBefore) {
    for (const std::uint32_t clock_hz : {100'000u, 24'000'000u, 99'999'999u}) {
        for (const std::int32_t error_ppb : {0, 999'999, -123'457}) {
            UtcClock clock(clock_hz, error_ppb);
            clock.set(Instant{5'000}, 100);
            std::uint64_t e = 0;
            for (int i = 0; i < 20'000; ++i) {
                const Instant t = Instant{5'000} + Ticks{e};
                const std::uint64_t second = clock.second_at_or_after(t);
                ASSERT_GE(clock.instant_of(second), t);
                if (second > 100) {
                    ASSERT_LT(clock.instant_of(second - 1), t);
                }
                e = e * 1'001 / 1'000 + 1 + static_cast<std::uint64_t>(i);
                if (e / clock_hz > 2'000'000'000) break;
            }
            for (const std::uint64_t s : {1u, 7u, 1'000'000u, 2'000'000'000u}) {
                const Instant t = clock.instant_of(100 + s);
                ASSERT_EQ(clock.second_at_or_after(t), 100 + s) << "a mark is not before itself";
                ASSERT_EQ(clock.second_at_or_after(t + Ticks{1}), 101 + s);
            }
        }
    }
}

TEST(UtcClock, FindsWholeMinutes) {
    UtcClock clock(24'000'000, 0);
    clock.set(Instant{0},
              1'764'028'745);  // 2025-11-24 23:59:05 UTC; closed form: 1 764 028 800 is a multiple of 86 400
    EXPECT_EQ(clock.minute_at_or_after(Instant{0}), 1'764'028'800u);
    EXPECT_EQ(clock.minute_at_or_after(Instant{std::uint64_t{55} * 24'000'000}), 1'764'028'800u);
    EXPECT_EQ(clock.minute_at_or_after(Instant{std::uint64_t{55} * 24'000'000 + 1}), 1'764'028'860u);
    for (const std::uint64_t s :
         {std::uint64_t{0}, std::uint64_t{59}, std::uint64_t{60}, std::uint64_t{0xFFFF'FFFF},
          std::uint64_t{0x1'0000'0000}, ~std::uint64_t{0}})
        EXPECT_EQ(second_of_minute(s), s % 60);
}

}  // namespace time_test
}  // namespace ampturn::core
