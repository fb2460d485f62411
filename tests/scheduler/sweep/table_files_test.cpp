#include "scheduler/sweep/table_files.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>

#include "scheduler/base/input_error.hpp"
#include "tests/scheduler/core/random_table.hpp"

namespace ampturn::sweep {
namespace table_files_test {

constexpr TableFormat formats[] = {TableFormat::image, TableFormat::hex, TableFormat::header,
                                   TableFormat::csv};

StoredTable random_stored(core::test::Draws& draws, std::size_t step_count) {
    StoredTable stored{core::test::random_table(draws, step_count), 1 + draws.below(100'000'000)};
    stored.table.sweep_count = static_cast<std::uint16_t>(1 + draws.below(65'535));
    for (std::size_t i = 0; i < step_count; ++i)
        stored.table.steps[i].flags = static_cast<std::uint8_t>(draws.below(3));
    return stored;
}

std::string error_of(std::string_view bytes) {
    try {
        read_table_file("t", bytes);
        return "accepted";
    } catch (const base::InputError& error) {
        return error.what();
    }
}

TEST(TableFiles, EveryFormComesBackEqual) {
    core::test::Draws draws(11);
    for (int i = 0; i < 300; ++i) {
        const StoredTable stored = random_stored(draws, 1 + draws.below(core::steps_max));
        for (const TableFormat format : formats) {
            const std::string bytes = table_file(stored, format);
            ASSERT_EQ(read_table_file("t", bytes), stored);
            ASSERT_EQ(table_file(read_table_file("t", bytes), format), bytes) << "and the same bytes again";
        }
    }
}

TEST(TableFiles, IntelHexAsPublished) {
    // Published: the two records of the worked example in common descriptions of the format (from memory).
    std::vector<std::uint8_t> bytes{0x21, 0x46, 0x01, 0x36, 0x01, 0x21, 0x47, 0x01,
                                    0x36, 0x00, 0x7E, 0xFE, 0x09, 0xD2, 0x19, 0x01};
    EXPECT_EQ(bytes_of_hex("t", ":10010000214601360121470136007EFE09D2190140\r\n:00000001FF\r\n"), bytes);
    EXPECT_EQ(hex_of_bytes(bytes), ":10000000214601360121470136007EFE09D2190141\n:00000001FF\n")
        << "closed form: the address is one less in its high byte, the checksum one more";
    EXPECT_EQ(bytes_of_hex("t", ":020000040800F2\n:0100000041BE\n:0100010042BC\n:00000001FF"),
              (std::vector<std::uint8_t>{0x41, 0x42}));
}

TEST(TableFiles, EveryFlippedBitAndEveryTruncationOfTheHexFormIsRefusedOrHarmless) {
    core::test::Draws draws(12);
    const StoredTable stored = random_stored(draws, 3);
    const std::string good = table_file(stored, TableFormat::hex);
    for (std::size_t bit = 0; bit < good.size() * 8; ++bit) {
        std::string bytes = good;
        bytes[bit / 8] = static_cast<char>(bytes[bit / 8] ^ (1 << (bit % 8)));
        try {
            // Lower-case digits and a line end made CR by the flip mean the same.
            ASSERT_EQ(read_table_file("t", bytes), stored) << "bit " << bit;
        } catch (const base::InputError&) {
        }
    }
    for (std::size_t length = 0; length + 1 < good.size(); ++length)
        ASSERT_THROW(read_table_file("t", std::string_view(good).substr(0, length)), base::InputError)
            << length;
}

TEST(TableFiles, EveryTruncationOfHeaderAndCsvIsRefusedOrStillWhole) {
    core::test::Draws draws(13);
    const StoredTable stored = random_stored(draws, 3);
    const std::string header = table_file(stored, TableFormat::header);
    for (std::size_t length = 0; length < header.find('}'); ++length)
        ASSERT_THROW(read_table_file("t", std::string_view(header).substr(0, length)), base::InputError)
            << length;
    const std::string csv = table_file(stored, TableFormat::csv);
    for (std::size_t length = 0; length < csv.find('\n', csv.find('\n') + 1) - 10; ++length)
        ASSERT_THROW(read_table_file("t", std::string_view(csv).substr(0, length)), base::InputError)
            << length;
}

TEST(TableFiles, ErrorsNameFileLineKeyFoundAndAllowed) {
    core::test::Draws draws(14);
    StoredTable stored = random_stored(draws, 2);
    stored.table.steps[1].divisor = 10'001;
    using testing::HasSubstr;
    const std::string csv = table_file(stored, TableFormat::csv);
    EXPECT_THAT(error_of(csv), HasSubstr("t:3: step[2]: found"));
    EXPECT_THAT(error_of(table_file(stored, TableFormat::image)), HasSubstr("t: step[2]: found"));
    stored.table.steps[1].divisor = 10'000;
    std::string bad = table_file(stored, TableFormat::csv);
    bad.replace(bad.find('\n') + 1, 1, "x");
    EXPECT_THAT(error_of(bad), HasSubstr("t:2: table_id: found x"));
    EXPECT_THAT(error_of(":00000001FE\n"), HasSubstr("t:1: found checksum FE"));
    EXPECT_THAT(error_of(":0100000041BE\n"), HasSubstr("no end record"));
    EXPECT_THAT(error_of(":0100000041BE\n:0100020042BB\n:00000001FF\n"),
                HasSubstr("t:2: found address 00000002"));
    EXPECT_THAT(error_of(""), HasSubstr("0 bytes"));
    EXPECT_THAT(error_of("\x7f"
                         "ELF"),
                HasSubstr("begin with '\\x7fELF'"));
    EXPECT_THAT(error_of("ATBL"), HasSubstr("fewer bytes"));
    std::string header = table_file(stored, TableFormat::header);
    header.replace(header.find("0x54"), 4, "0xG4");
    EXPECT_THAT(error_of(header), HasSubstr("ampturn_sweep_table: found 0xG4"));
}

TEST(TableFiles, TheHeaderCompilesAsC99) {
    core::test::Draws draws(15);
    const std::string path = testing::TempDir() + "ampturn_table_test.h";
    std::ofstream(path) << table_file(random_stored(draws, 64), TableFormat::header);
    EXPECT_EQ(
        std::system(
            ("cc -std=c99 -Wall -Wextra -Wno-unused-variable -Werror -fsyntax-only -x c " + path).c_str()),
        0);
    std::remove(path.c_str());
}

TEST(TableFiles, MissingAndOversizedFilesAreRefused) {
    EXPECT_THROW(read_table_file("/nowhere/table.bin"), base::InputError);
    EXPECT_THROW(read_table_file("/dev/zero"), base::InputError);
    EXPECT_THROW(read_table_file("/"), base::InputError);
}

}  // namespace table_files_test
}  // namespace ampturn::sweep
