#include "firmware-sim/host/pacer.hpp"

#include <gtest/gtest.h>

#include "scheduler/base/input_error.hpp"

namespace pacer_test {

using namespace ampturn;
using namespace ampturn::sim::host;
using namespace std::chrono_literals;

const Pacer::Wall begin{};
constexpr std::uint32_t clock_hz = 24'000'000;

TEST(Pacer, FollowsTheWallClockByItsFactor) {
    const Pacer pacer(clock_hz, 60, begin);
    EXPECT_EQ(pacer.at(begin), core::Instant{0u});
    EXPECT_EQ(pacer.at(begin + 1s), core::Instant{1'440'000'000u});
    EXPECT_EQ(pacer.at(begin - 1s), core::Instant{0u});
    // When the wait for a moment is over, the moment has come.
    for (const std::uint64_t ticks : {1ULL, 7ULL, 23'999'999ULL, 123'456'789'012ULL}) {
        EXPECT_GE(pacer.at(pacer.wall_of(core::Instant{ticks})), core::Instant{ticks}) << ticks;
    }
    EXPECT_LT(pacer.wall_of(core::Instant::never()), Pacer::Wall::max());
}

TEST(Pacer, PausesAndChangesSpeedWithoutAJump) {
    Pacer pacer(clock_hz, 1, begin);
    pacer.pause(begin + 10s);
    EXPECT_EQ(pacer.at(begin + 99s), core::Instant{240'000'000u});
    EXPECT_EQ(pacer.wall_of(core::Instant{240'000'001u}), Pacer::Wall::max());
    pacer.resume(begin + 100s);
    EXPECT_EQ(pacer.at(begin + 101s), core::Instant{264'000'000u});
    pacer.set_speed(10, begin + 101s);
    EXPECT_EQ(pacer.at(begin + 102s), core::Instant{504'000'000u});
    pacer.set_speed(Pacer::unpaced, begin + 102s);
    EXPECT_TRUE(pacer.is_unpaced());
    EXPECT_EQ(pacer.at(begin + 500s), core::Instant{504'000'000u});
}

TEST(Pacer, SpeedsAreNumbersOrMax) {
    EXPECT_EQ(Pacer::parse_speed("1"), 1);
    EXPECT_EQ(Pacer::parse_speed("0.5"), 0.5);
    EXPECT_EQ(Pacer::parse_speed("max"), Pacer::unpaced);
    for (const char* bad : {"", "0", "-1", "fast", "1x", "1e9", "nan", "inf"}) {
        EXPECT_THROW(Pacer::parse_speed(bad), base::InputError) << bad;
    }
}

}  // namespace pacer_test
