#pragma once

#include <cstddef>
#include <string>

namespace ampturn::base {

/// Largest text file read as input unless a caller says otherwise; a plan of 64
/// steps and 1000 stations is some 200 kB.
inline constexpr std::size_t input_bytes_max = 4'000'000;

/// The path that means standard input, and what messages call it.
inline constexpr const char* standard_input_path = "-";
std::string shown_path(const std::string& path);

/// The bytes of a file that a person named; standard input can be read once. `wanted` says in an error what the file should have been: "a plan
/// (TOML)". InputError when it is missing, unreadable, a directory, a device or larger than `bytes_max`; a larger one
/// is refused before it is read, an endless one (a pipe) after `bytes_max` bytes.
std::string read_input_file(const std::string& path, const char* wanted = "a readable text file",
                            std::size_t bytes_max = input_bytes_max);

}  // namespace ampturn::base
