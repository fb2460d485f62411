#pragma once

#include <cstddef>
#include <string_view>

namespace ampturn::sim::session {

/// The beginning of a UTF-8 text, at most `bytes_max` bytes and no character cut in two.
inline std::string_view whole_characters(std::string_view text, std::size_t bytes_max) {
    if (text.size() <= bytes_max) return text;
    std::size_t end = bytes_max;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xc0) == 0x80) --end;  // inside a character
    return text.substr(0, end);
}

}  // namespace ampturn::sim::session
