#pragma once

#include <string>
#include <string_view>

namespace ampturn::program_help {

/// Text as roff shows it to the letter, on lines of at most 78 characters: `-` is a minus a terminal copies, quotes stay
/// straight, and no line begins with a dot or an apostrophe, which would be a request. Ends with a new line.
std::string roff_text(std::string_view text);

/// The same without filling: a line stays a line.
std::string roff_line(std::string_view text);

/// Help as people write it for a terminal: lines that begin with two spaces are examples, empty lines part paragraphs.
std::string roff_paragraphs(std::string_view text);

}  // namespace ampturn::program_help
