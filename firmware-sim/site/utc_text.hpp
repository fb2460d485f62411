#pragma once

#include <cstdint>
#include <string>

namespace ampturn::sim::site {

/// "2026-06-01T08:30:00.250Z"; utc_s counts from 1970, millisecond 0 to 999.
std::string utc_text_ms(std::int64_t utc_s, std::uint64_t millisecond);
/// Reads "2026-06-01T08:30:00Z" (seconds, no fraction; from 1970 on); false when it is not one.
bool parse_utc(const std::string& text, std::int64_t& utc_s);

}  // namespace ampturn::sim::site
