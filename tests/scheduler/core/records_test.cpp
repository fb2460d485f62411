#include "scheduler/core/records.hpp"

#include <gtest/gtest.h>

#include <map>

namespace ampturn::core {
namespace records_test {

Record trip(std::uint64_t at, Trip cause) {
    return {.at = Instant{at}, .kind = RecordKind::trip, .detail = static_cast<std::uint8_t>(cause)};
}
Record step(std::uint64_t at) { return {.at = Instant{at}, .kind = RecordKind::step}; }

TEST(RecordRing, GivesBackInOrder) {
    RecordRing ring;
    for (std::uint64_t i = 0; i < 50; ++i) ring.push(step(i));
    Record out;
    for (std::uint64_t i = 0; i < 50; ++i) {
        ASSERT_TRUE(ring.pop(out));
        EXPECT_EQ(out.at, Instant{i});
        ring.push(step(50 + i));
    }
    EXPECT_EQ(ring.size(), 50u);
    EXPECT_EQ(ring.lost_count(), 0u);
}

TEST(RecordRing, OneTripAmongOldRecordsStays) {
    RecordRing ring;
    ring.push(trip(0, Trip::watchdog));
    for (std::uint64_t i = 1; i < 1'000; ++i) ring.push(step(i));
    EXPECT_EQ(ring.size(), RecordRing::capacity);
    EXPECT_EQ(ring.lost_count(), 1'000u - 64u);
    Record out;
    ASSERT_TRUE(ring.pop(out));
    EXPECT_EQ(out, trip(0, Trip::watchdog));
    ASSERT_TRUE(ring.pop(out));
    EXPECT_EQ(out.at, Instant{1'000u - 63u});
}

TEST(RecordRing, NeverLosesATripHoweverMany) {
    RecordRing ring;
    std::map<int, std::uint32_t> pushed, found;
    std::uint32_t state = 12'345;  // linear congruential, Numerical Recipes constants
    for (std::uint64_t i = 0; i < 20'000; ++i) {
        state = state * 1'664'525u + 1'013'904'223u;
        if (state >> 28 == 0) {
            ring.push(step(i));
            continue;
        }
        const auto cause = static_cast<Trip>((state >> 8) % trip_count);
        ring.push(trip(i, cause));
        ++pushed[static_cast<int>(cause)];
    }
    Instant last;
    for (Record out; ring.pop(out);) {
        EXPECT_GE(out.at, last);
        last = out.at;
        if (out.kind == RecordKind::trip) found[out.detail] += out.count;
    }
    EXPECT_EQ(found, pushed);
}

TEST(RecordRing, OneCauseOnlyStillFits) {
    RecordRing ring;
    for (std::uint64_t i = 0; i < 70'000; ++i) ring.push(trip(i, Trip::under_voltage));
    Record out;
    std::uint32_t count = 0;
    while (ring.pop(out)) count += out.count;
    EXPECT_EQ(count, 65'535u + 63u) << "one record says 65 535 or more; the other 63 say 1";
}

}  // namespace records_test
}  // namespace ampturn::core
