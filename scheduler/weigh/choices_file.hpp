#pragma once

#include <string>
#include <string_view>

#include "scheduler/weigh/choices.hpp"

namespace ampturn::weigh {

/// Reads a file of choices (TOML 1.0). InputError, holding all that is wrong with file, line and key, when a key is unknown, a
/// value out of range, a list empty, or rules between keys are broken.
Choices parse_choices(std::string_view text, const std::string& path);

/// All its keys as a Markdown table a section, made from the keys themselves.
std::string choices_markdown();

}  // namespace ampturn::weigh
