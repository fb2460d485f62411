#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "scheduler/plan/tree/config_toml.hpp"

namespace ampturn::plan::tree {

/// The text of a TOML file with values put into it, one after the other: where the key is there its value alone is written anew, so
/// comments and layout stay; else a line comes behind the last one of its table, or a table behind the last one of the file. Reads
/// back as the tree with the same settings applied. InputError where a key or the text cannot be read, as of apply_setting().
std::string with_settings(std::string text, const std::string& path, const std::vector<Setting>& settings);

}  // namespace ampturn::plan::tree
