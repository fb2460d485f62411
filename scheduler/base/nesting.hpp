#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

namespace ampturn::base {

/// What copies, compares, writes or frees a parsed value goes down as deep as the value does, and a few megabytes of brackets are deeper
/// than any stack. So texts are held against these limits before they are parsed; no input of the programs comes near them.

/// Lists, objects or elements inside one another.
inline constexpr int nesting_max = 64;
inline constexpr const char* json_nesting_found = "lists or objects too deep inside one another";
inline constexpr const char* nesting_allowed = "at most 64 levels of nesting";
/// Names joined by dots in one key. Tables in tables besides are held by the TOML parser to 256.
inline constexpr int key_parts_max = 16;
inline constexpr const char* key_parts_allowed = "at most 16 names joined by dots";

/// Each returns the first byte that goes beyond the limit, nothing when none does. The text need not be well-formed.
std::optional<std::size_t> json_nested_too_deep(std::string_view text);
std::optional<std::size_t> xml_nested_too_deep(std::string_view text);
std::optional<std::size_t> toml_key_too_long(std::string_view text);

}  // namespace ampturn::base
