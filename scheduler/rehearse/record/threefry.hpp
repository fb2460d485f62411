#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

/// Threefry with four words of 32 bits, on several counters at once: adds, turns and exclusive ors only, so that any vector
/// unit works it off. A bijection of the counter under a key, as run::CounterRandom's. For sources that are built for
/// several instruction sets (model/base/dispatch.hpp). Source: Salmon, Moraes, Dror & Shaw, Parallel random numbers: as easy
/// as 1, 2, 3 (SC11, 2011); 12 rounds are the fewest that pass all tests there (from memory).
namespace ampturn::rehearse::record {

inline constexpr std::size_t threefry_lanes = 8;
inline constexpr int threefry_rounds = 12;
using ThreefryWords = std::uint32_t __attribute__((vector_size(4 * threefry_lanes)));

template <int rounds = threefry_rounds>
[[gnu::always_inline]] inline void threefry(const std::array<std::uint32_t, 4>& key, ThreefryWords& x0,
                                            ThreefryWords& x1, ThreefryWords& x2, ThreefryWords& x3) {
    constexpr int turns[8][2]{{10, 26}, {11, 21}, {13, 27}, {23, 5}, {6, 20}, {17, 11}, {25, 10}, {18, 20}};
    const std::uint32_t k[5]{key[0], key[1], key[2], key[3], 0x1BD11BDAu ^ key[0] ^ key[1] ^ key[2] ^ key[3]};
    x0 += k[0], x1 += k[1], x2 += k[2], x3 += k[3];
#pragma GCC unroll 20
    for (int round = 0; round < rounds; ++round) {
        const auto& turn = turns[round % 8];
        ThreefryWords& first = round % 2 == 0 ? x1 : x3;
        ThreefryWords& second = round % 2 == 0 ? x3 : x1;
        x0 += first;
        first = (first << turn[0] | first >> (32 - turn[0])) ^ x0;
        x2 += second;
        second = (second << turn[1] | second >> (32 - turn[1])) ^ x2;
        if (round % 4 == 3) {
            const auto s = static_cast<std::uint32_t>(round / 4 + 1);
            x0 += k[s % 5], x1 += k[(s + 1) % 5], x2 += k[(s + 2) % 5], x3 += k[(s + 3) % 5] + s;
        }
    }
}

}  // namespace ampturn::rehearse::record
