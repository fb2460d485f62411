#include "scheduler/rehearse/record/unit_gaussians.hpp"

#include <array>
#include <cmath>
#include <cstring>
#include <stdexcept>
#include <string>

#include "model/base/dispatch.hpp"
#include "scheduler/rehearse/record/threefry.hpp"

namespace ampturn::rehearse::record {
namespace {

constexpr std::size_t lanes = threefry_lanes;

using Floats = float __attribute__((vector_size(4 * lanes)));
using Words = ThreefryWords;
using Integers = std::int32_t __attribute__((vector_size(4 * lanes)));

/// Natural logarithm of numbers above 0, by atanh's series about 1: 2 units in the last place.
[[gnu::always_inline]] inline Floats logarithm(Floats x) {
    const Words bits = (Words)x;
    // Mantissa from root 1/2 to root 2, exponent to match.
    const Words shifted = bits - 0x3f3504f3u;
    const Floats exponent = __builtin_convertvector((Integers)shifted >> 23, Floats);
    const Floats m = (Floats)((shifted & 0x007fffffu) + 0x3f3504f3u);
    const Floats s = (m - 1.0f) / (m + 1.0f), s2 = s * s;
    const Floats series = 2.0f + s2 * (2.0f / 3 + s2 * (2.0f / 5 + s2 * (2.0f / 7 + s2 * (2.0f / 9))));
    return exponent * 0.693147180559945309f + s * series;
}

/// From 32 bits each: a radius, and the cosine and sine of an angle round the circle.
[[gnu::always_inline]] inline void polar(Words height, Words direction, float* re, float* im) {
    const Floats u = (__builtin_convertvector((Integers)(height >> 1), Floats) + 0.5f) * 0x1p-31f;
    const Floats square = -2.0f * logarithm(u);
    Floats radius;
    for (std::size_t i = 0; i < lanes; ++i) radius[i] = std::sqrt(square[i]);
    // Nearest quarter turn, and what is left: -1/8 to 1/8 turns.
    const Words quarter = (direction + 0x20000000u) >> 30;
    const Floats t = __builtin_convertvector((Integers)(direction - (quarter << 30)), Floats) *
                     (6.283185307179586477f * 0x1p-32f);
    const Floats t2 = t * t;
    const Floats sine =
        t + t * t2 * (-1.0f / 6 + t2 * (1.0f / 120 + t2 * (-1.0f / 5040 + t2 * (1.0f / 362880))));
    const Floats cosine = 1.0f + t2 * (-0.5f + t2 * (1.0f / 24 + t2 * (-1.0f / 720 + t2 * (1.0f / 40320))));
    const Words odd = -(quarter & 1u);  // all ones where sine and cosine change places
    const Words sine_bits = (Words)sine, cosine_bits = (Words)cosine;
    const Words x = ((sine_bits & odd) | (cosine_bits & ~odd)) ^ (((quarter + 1u) & 2u) << 30);
    const Words y = ((cosine_bits & odd) | (sine_bits & ~odd)) ^ ((quarter & 2u) << 30);
    const Floats along = radius * (Floats)x, across = radius * (Floats)y;
    std::memcpy(re, &along, sizeof along);
    std::memcpy(im, &across, sizeof across);
}

constexpr Words count_up{0, 1, 2, 3, 4, 5, 6, 7}, none{};

AMPTURN_DISPATCH(fill,
                 (const std::array<std::uint32_t, 4>& key, std::uint64_t first, std::size_t draws, float* re,
                  float* im),
                 {
                     for (std::size_t i = 0; i < draws; i += lanes) {
                         // No group of draws crosses a multiple of 2^32: first is one of 8.
                         Words low = count_up + static_cast<std::uint32_t>(first + i);
                         Words high = none + static_cast<std::uint32_t>((first + i) >> 32);
                         Words third = none;
                         Words fourth = none;
                         threefry(key, low, high, third, fourth);
                         polar(low, high, re + i, im + i);
                         polar(third, fourth, re + draws + i, im + draws + i);
                     }
                 })

}  // namespace

void fill_unit_gaussians(std::uint64_t seed, std::uint64_t stream, std::uint64_t first_draw,
                         std::span<float> re, std::span<float> im) {
    if (re.size() != im.size() || re.size() % (2 * lanes) != 0 || first_draw % lanes != 0)
        throw std::invalid_argument("unit gaussians: " + std::to_string(re.size()) + " and " +
                                    std::to_string(im.size()) + " values from draw " +
                                    std::to_string(first_draw) +
                                    ", must be equal, multiples of 16, from a multiple of 8");
    const auto low = [](std::uint64_t x) { return static_cast<std::uint32_t>(x); };
    fill({low(seed), low(seed >> 32), low(stream), low(stream >> 32)}, first_draw, re.size() / 2, re.data(),
         im.data());
}

}  // namespace ampturn::rehearse::record
