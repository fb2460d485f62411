#include "scheduler/core/image.hpp"

#include <gtest/gtest.h>

#include <vector>

#include "scheduler/core/crc32.hpp"
#include "tests/scheduler/core/random_table.hpp"
#include "tests/scheduler/core/sequencer_fixture.hpp"

namespace ampturn::core {
namespace image_test {

constexpr std::uint32_t clock_hz = 24'000'000;

std::vector<std::uint8_t> image_of(const Table& table) {
    std::vector<std::uint8_t> image(image_bytes(table.step_count));
    EXPECT_EQ(write_image(table, clock_hz, image), image.size());
    return image;
}
void close(std::vector<std::uint8_t>& image) {
    const std::uint32_t crc = crc32(std::span{image}.first(image.size() - 4));
    for (std::size_t i = 0; i < 4; ++i)
        image[image.size() - 4 + i] = static_cast<std::uint8_t>(crc >> (8 * i));
}
TableCheck checked(const std::vector<std::uint8_t>& image) { return check_image(image, clock_hz, {}); }
Table full_table() {
    test::Draws draws(1);
    return test::random_table(draws, steps_max);
}

TEST(Image, IsWhatTheManualSaysByteByByte) {
    Table table;
    table.table_id = 0x01020304;
    table.sweep_count = 0x0506;
    table.step_count = 1;
    table.steps[0] = {.loop = Loop::b,
                      .tap = 3,
                      .capacitor = 4,
                      .flags = starts_on_minute,
                      .divisor = 0x00001112,
                      .cycles = 0x21222324,
                      .current_ma_peak = 0x00003132,
                      .ramp_cycles = 0x00004142,
                      .settle_ticks = 0x51525354,
                      .gap_ticks = 0x61626364};
    std::vector<std::uint8_t> expected{'A',  'T',  'B',  'L',  1,    0,    1, 0, 56,   0,    0,    0,
                                       0x00, 0x36, 0x6E, 0x01, 4,    3,    2, 1, 6,    5,    0,    0,
                                       2,    3,    4,    2,    0x12, 0x11, 0, 0, 0x24, 0x23, 0x22, 0x21,
                                       0x32, 0x31, 0,    0,    0x42, 0x41, 0, 0, 0x54, 0x53, 0x52, 0x51,
                                       0x64, 0x63, 0x62, 0x61, 0,    0,    0, 0};
    close(expected);
    EXPECT_EQ(image_of(table), expected);
    // identity: close() has put the checksum there
    EXPECT_EQ(image_checksum(expected), crc32(std::span{expected}.first(52)));
}

TEST(Image, ReadsBackEqual) {
    test::Draws draws(2);
    for (int i = 0; i < 500; ++i) {
        const Table table = test::random_table(draws, 1 + draws.below(steps_max));
        Table back;
        ASSERT_EQ(read_image(image_of(table), clock_hz, {}, back), TableCheck{});
        ASSERT_EQ(back, table);
    }
}

TEST(Image, EverySingleBitFlipIsRefusedWithItsReason) {
    const std::vector<std::uint8_t> good = image_of(full_table());
    ASSERT_EQ(good.size(), image_bytes_max);
    ASSERT_EQ(checked(good), TableCheck{});
    std::vector<std::uint8_t> image = good;
    for (std::size_t bit = 0; bit < good.size() * 8; ++bit) {
        image[bit / 8] ^= static_cast<std::uint8_t>(1u << (bit % 8));
        const std::size_t byte = bit / 8;
        const Refusal expected = byte < 4                 ? Refusal::not_a_table
                                 : byte < 6               ? Refusal::unknown_version
                                 : byte >= 8 && byte < 12 ? Refusal::wrong_length
                                                          : Refusal::damaged;
        ASSERT_EQ(checked(image).reason, expected) << "bit " << bit;
        image[byte] = good[byte];
    }
}

TEST(Image, EveryTruncationIsRefusedWithItsReason) {
    const std::vector<std::uint8_t> good = image_of(full_table());
    for (std::size_t length = 0; length < good.size(); ++length) {
        const TableCheck result = check_image(std::span{good}.first(length), clock_hz, {});
        ASSERT_EQ(result.reason, length < 28 ? Refusal::too_short : Refusal::wrong_length)
            << length << " bytes";
    }
    std::vector<std::uint8_t> longer = good;
    longer.push_back(0);
    EXPECT_EQ(checked(longer).reason, Refusal::wrong_length);
}

TEST(Image, ARefusedImageChangesNothing) {
    std::vector<std::uint8_t> image = image_of(full_table());
    image[image.size() - 40] ^= 1;
    close(image);
    Table table = test::three_steps();
    image[24 + 63 * 28] = 0;  // loop of the last step
    close(image);
    EXPECT_EQ(read_image(image, clock_hz, {}, table), (TableCheck{Refusal::unknown_loop, 63}));
    EXPECT_EQ(table, test::three_steps());
}

/// Every reason, by the smallest change to a good image (with a good checksum) that brings it about.
TEST(Image, EveryReasonCanBeReached) {
    struct Row {
        Refusal reason;
        std::uint8_t step_index;
        void (*spoil)(std::vector<std::uint8_t>&);
    };
    const Row rows[] = {
        {Refusal::other_clock, 0, [](std::vector<std::uint8_t>& i) { i[12] = 1; }},
        {Refusal::no_steps, 0, [](std::vector<std::uint8_t>& i) { i[6] = 0; }},
        {Refusal::too_many_steps, 0, [](std::vector<std::uint8_t>& i) { i[6] = 65; }},
        {Refusal::no_sweeps, 0, [](std::vector<std::uint8_t>& i) { i[20] = 0; }},
        {Refusal::reserved_not_zero, 0, [](std::vector<std::uint8_t>& i) { i[23] = 1; }},
        {Refusal::count_and_length_differ, 0, [](std::vector<std::uint8_t>& i) { i[6] = 2; }},
        {Refusal::unknown_loop, 0, [](std::vector<std::uint8_t>& i) { i[24] = 4; }},
        {Refusal::unknown_tap, 1, [](std::vector<std::uint8_t>& i) { i[24 + 28 + 1] = 9; }},
        {Refusal::unknown_tap, 1, [](std::vector<std::uint8_t>& i) { i[24 + 28 + 1] = 0; }},
        {Refusal::unknown_capacitor, 1, [](std::vector<std::uint8_t>& i) { i[24 + 28 + 2] = 33; }},
        {Refusal::unknown_flag, 2, [](std::vector<std::uint8_t>& i) { i[24 + 56 + 3] = 3; }},
        {Refusal::unknown_flag, 2, [](std::vector<std::uint8_t>& i) { i[24 + 56 + 3] = 4; }},
        {Refusal::odd_divisor, 0, [](std::vector<std::uint8_t>& i) { i[24 + 4] |= 1; }},
        {Refusal::divisor_out_of_range, 0, [](std::vector<std::uint8_t>& i) { i[24 + 7] = 0x80; }},
        {Refusal::divisor_out_of_range, 0, [](std::vector<std::uint8_t>& i) { i[24 + 4] = i[24 + 5] = 0; }},
        {Refusal::no_cycles, 0, [](std::vector<std::uint8_t>& i) { i[24 + 8] = i[24 + 9] = 0; }},
        {Refusal::no_current, 0, [](std::vector<std::uint8_t>& i) { i[24 + 12] = i[24 + 13] = 0; }},
        {Refusal::too_much_current, 0, [](std::vector<std::uint8_t>& i) { i[24 + 14] = 1; }},
        {Refusal::no_ramp, 0, [](std::vector<std::uint8_t>& i) { i[24 + 16] = 0; }},
        {Refusal::ramp_too_long, 0, [](std::vector<std::uint8_t>& i) { i[24 + 18] = 0x10; }},
        {Refusal::settle_too_short, 0, [](std::vector<std::uint8_t>& i) { i[24 + 20] = i[24 + 21] = i[24 + 22] = 0; }},
        {Refusal::gap_too_short, 0, [](std::vector<std::uint8_t>& i) { i[24 + 24] = i[24 + 25] = i[24 + 26] = 0; }},
        {Refusal::dwell_too_long, 1, [](std::vector<std::uint8_t>& i) { i[24 + 28 + 7] = 1; i[24 + 28 + 11] = 0xFF; }},
    };
    for (const Row& row : rows) {
        std::vector<std::uint8_t> image = image_of(test::three_steps());
        ASSERT_EQ(checked(image), TableCheck{});
        row.spoil(image);
        close(image);
        EXPECT_EQ(checked(image), (TableCheck{row.reason, row.step_index})) << static_cast<int>(row.reason);
    }
    Limits limits;
    limits.loops_fitted = 1;
    EXPECT_EQ(check_image(image_of(test::three_steps()), clock_hz, limits),
              (TableCheck{Refusal::loop_not_fitted, 1}));
    limits = {};
    limits.quadrature = false;
    EXPECT_EQ(check_image(image_of(test::three_steps()), clock_hz, limits),
              (TableCheck{Refusal::quadrature_not_possible, 2}));
}

TEST(Image, AgreesWithTheCheckOfSteps) {
    test::Draws draws(3);
    int refused = 0;
    for (int i = 0; i < 20'000; ++i) {
        Table table = test::random_table(draws, 1 + draws.below(4));
        table.sweep_count = static_cast<std::uint16_t>(1 + draws.below(2));
        test::spoil_one_field(draws, table);
        const TableCheck expected = check(table.used(), {}, table.sweep_count);
        ASSERT_EQ(checked(image_of(table)), expected);
        refused += expected.reason != Refusal::none;
    }
    EXPECT_GT(refused, 5'000);
    EXPECT_LT(refused, 19'000);
}

TEST(Table, TheLastStepsGapCountsOnlyWhenTheSweepIsRepeated) {
    Table table = test::three_steps();
    table.steps[2].gap_ticks = 0;
    EXPECT_EQ(check(table.used()), TableCheck{});
    EXPECT_EQ(check(table.used(), {}, 2), (TableCheck{Refusal::gap_too_short, 2}));
}

inline constexpr std::array bench_sweep{
    Step{.divisor = 10'000,
         .cycles = 4'800,
         .current_ma_peak = 8'000,
         .ramp_cycles = 24},  // 2400 Hz at 24 MHz
    Step{.divisor = 40'000, .cycles = 2'400, .current_ma_peak = 9'500, .ramp_cycles = 6},  //  600 Hz
};
static_assert(check(bench_sweep).reason == Refusal::none);
static_assert(dwell(bench_sweep[0]) == Ticks{48'000'000});  // 2 s
static_assert(step_length(bench_sweep[1]) == Ticks{480'000 + 240'000 + 96'000'000 + 240'000 + 240'000});

}  // namespace image_test
}  // namespace ampturn::core
