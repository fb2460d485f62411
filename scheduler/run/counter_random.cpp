#include "scheduler/run/counter_random.hpp"

#include <cmath>
#include <numbers>

namespace ampturn::run {
namespace {

double to_unit(std::uint32_t high, std::uint32_t low) {
    const std::uint64_t bits = (static_cast<std::uint64_t>(high) << 32) | low;
    return (static_cast<double>(bits >> 11) + 0.5) * 0x1p-53;
}

}  // namespace

std::array<std::uint32_t, 4> CounterRandom::block(std::uint64_t index) const {
    std::array<std::uint32_t, 4> x{static_cast<std::uint32_t>(index), static_cast<std::uint32_t>(index >> 32),
                                   static_cast<std::uint32_t>(stream_),
                                   static_cast<std::uint32_t>(stream_ >> 32)};
    auto key0 = static_cast<std::uint32_t>(seed_);
    auto key1 = static_cast<std::uint32_t>(seed_ >> 32);
    for (int round = 0; round < 10; ++round) {
        const std::uint64_t p0 = std::uint64_t{0xD2511F53u} * x[0];
        const std::uint64_t p1 = std::uint64_t{0xCD9E8D57u} * x[2];
        x = {static_cast<std::uint32_t>(p1 >> 32) ^ x[1] ^ key0, static_cast<std::uint32_t>(p1),
             static_cast<std::uint32_t>(p0 >> 32) ^ x[3] ^ key1, static_cast<std::uint32_t>(p0)};
        key0 += 0x9E3779B9u;
        key1 += 0xBB67AE85u;
    }
    return x;
}

double CounterRandom::uniform(std::uint64_t index) const {
    const auto x = block(index);
    return to_unit(x[0], x[1]);
}

std::array<double, 2> CounterRandom::normal_pair(std::uint64_t index) const {
    const auto x = block(index);
    const double radius = std::sqrt(-2.0 * std::log(to_unit(x[0], x[1])));
    const double angle = 2.0 * std::numbers::pi * to_unit(x[2], x[3]);
    return {radius * std::cos(angle), radius * std::sin(angle)};
}

std::uint64_t stream_of(const char* name) {
    std::uint64_t hash = 0xCBF29CE484222325u;
    for (; *name != '\0'; ++name) hash = (hash ^ static_cast<unsigned char>(*name)) * 0x100000001B3u;
    return hash;
}

std::uint64_t combine(std::uint64_t a, std::uint64_t b) {
    // SplitMix64 finaliser (Steele, Lea & Flood 2014) over the pair.
    std::uint64_t z = a + 0x9E3779B97F4A7C15u * (b + 1);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

}  // namespace ampturn::run
