#pragma once

#include <algorithm>
#include <string_view>

namespace ampturn::base {

/// The first line of a text, without its end (LF or CR LF), taken off the text's front.
inline std::string_view take_line(std::string_view& text) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (line.ends_with('\r')) line.remove_suffix(1);
    return line;
}

}  // namespace ampturn::base
