#pragma once

#include <string>
#include <string_view>

namespace ampturn::test {

/// A file of the checkout, by its path below the root: source_path("demo/quick.toml").
std::string source_path(std::string_view below_root);

/// A program of this build: program_path("ampturn").
std::string program_path(std::string_view name);

}  // namespace ampturn::test
