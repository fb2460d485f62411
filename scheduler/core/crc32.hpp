#pragma once

#include <cstdint>
#include <span>

namespace ampturn::core {

/// CRC-32/ISO-HDLC, the checksum of Ethernet and zip: reflected polynomial 0xEDB88320, start and final XOR
/// 0xFFFFFFFF. Check value: crc32("123456789") = 0xCBF43926. Source: ISO/IEC 13239; check value as in common
/// CRC catalogues (from memory).
std::uint32_t crc32(std::span<const std::uint8_t> bytes);

}  // namespace ampturn::core
