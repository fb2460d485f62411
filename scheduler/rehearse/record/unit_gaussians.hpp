#pragma once

#include <cstdint>
#include <span>

namespace ampturn::rehearse::record {

/// Independent complex Gaussian values of unit variance in the real and in the imaginary part (Box & Muller 1958, in
/// polar form), each a function of (seed, stream, its place after `first_draw`) and nothing else: draw first_draw + i gives
/// values i and size/2 + i. Single precision, the same bits on every processor: radius from 31 bits, which end at 6.7
/// standard deviations, angle from 32. re and im of equal size, a multiple of 16, first_draw a
/// multiple of 8, else std::invalid_argument.
void fill_unit_gaussians(std::uint64_t seed, std::uint64_t stream, std::uint64_t first_draw,
                         std::span<float> re, std::span<float> im);

}  // namespace ampturn::rehearse::record
