#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ampturn::base {

/// Text that stays in files of its own (pages, paragraphs, sheets; embedded by .ci/cmake/embed.cmake) and gets its
/// values here, so that prose is read and mended as prose.

/// What stands for {{name}}, a pair for each name.
using TemplateValues = std::vector<std::pair<std::string_view, std::string>>;

/// The text with every {{name}} replaced. Values go in as they are: nothing in them is escaped or replaced again.
/// std::logic_error when the text names a value that is not given, or does not name one that is.
std::string filled_template(std::string_view text, const TemplateValues& values);

/// From a text of lines "name: sentence", the sentence of a name, without the line's end; std::logic_error when no
/// line has it.
std::string_view named_line(std::string_view text, std::string_view name);

}  // namespace ampturn::base
