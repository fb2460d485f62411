#include "scheduler/core/crc32.hpp"

#include <gtest/gtest.h>

#include <array>

namespace crc32_test {

using ampturn::core::crc32;

TEST(Crc32, GivesThePublishedCheckValue) {
    const std::array<std::uint8_t, 9> digits{'1', '2', '3', '4', '5', '6', '7', '8', '9'};
    EXPECT_EQ(crc32(digits), 0xCBF43926u) << "published: check value of CRC-32/ISO-HDLC, from memory";
}

TEST(Crc32, OfNothingIsZero) { EXPECT_EQ(crc32({}), 0u) << "closed form: start and final XOR cancel"; }

}  // namespace crc32_test
