#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "scheduler/core/table.hpp"

namespace ampturn::core {

/// The stored form of a table; every number little-endian.
///
///     offset  bytes  what
///          0      4  'A' 'T' 'B' 'L'
///          4      2  version of the layout, 1
///          6      2  step count, 1 to 64
///          8      4  length of the whole image in bytes, checksum included
///         12      4  clock_hz the divisors are meant for
///         16      4  table id
///         20      2  sweep count, 1 to 65 535
///         22      2  reserved, 0
///         24  28 * n steps: loop, tap, capacitor, flags (1 byte each); divisor, cycles, current_ma_peak,
///                    ramp_cycles, settle_ticks, gap_ticks (4 bytes each)
///        end      4  CRC-32/ISO-HDLC of everything before it
inline constexpr std::size_t image_header_bytes = 24;
inline constexpr std::size_t image_step_bytes = 28;
inline constexpr std::size_t image_bytes_max = image_header_bytes + steps_max * image_step_bytes + 4;
inline constexpr std::uint16_t image_version = 1;

constexpr std::size_t image_bytes(std::size_t step_count) {
    return image_header_bytes + step_count * image_step_bytes + 4;
}

/// Writes the image; step_count <= steps_max, out.size() >= image_bytes(step_count); returns its length.
/// Does not judge the steps: what it writes may be refused by read_image.
std::size_t write_image(const Table& table, std::uint32_t clock_hz, std::span<std::uint8_t> out);

/// The checksum that an image carries in its last four bytes; image.size() >= image_bytes(0).
std::uint32_t image_checksum(std::span<const std::uint8_t> image);

/// Checks an image from end to end without keeping anything. The first reason in the order of Refusal, except
/// that the checks between steps come with the step.
[[nodiscard]] TableCheck check_image(std::span<const std::uint8_t> image, std::uint32_t clock_hz,
                                     const Limits& limits);

/// check_image, then, only if nothing is wrong, fills `table`.
[[nodiscard]] TableCheck read_image(std::span<const std::uint8_t> image, std::uint32_t clock_hz,
                                    const Limits& limits, Table& table);

/// The 28 bytes of one step.
void write_step(const Step& step, std::span<std::uint8_t, image_step_bytes> out);
Step read_step(std::span<const std::uint8_t, image_step_bytes> in);

}  // namespace ampturn::core
