#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "scheduler/plan/tree/config_value.hpp"

namespace ampturn::plan::tree {

/// TOML 1.0 text to a tree whose root is a table. InputError with line and column on a syntax error.
Value parse_toml(std::string_view text, const std::string& path);

/// A value as a flag or a person at a terminal gives it: TOML; what is not TOML is taken as text.
Value value_of_text(const std::string& text, const std::string& given_by);

/// One value changed on the command line: KEY=VALUE, lists counted from 1 ("earth.resistivity_ohm_m[2]=50",
/// "driver.bus_v=24", "station[3].name=\"S3\"").
struct Setting {
    std::string key;
    std::string value;  // TOML; what is not TOML is taken as text
};
/// Splits at the first '='. InputError when there is none or the key is empty.
Setting parse_setting(const std::string& text);

/// Puts the value into the tree. Tables on the way are made where missing; list entries must exist.
void apply_setting(Value& root, const Setting& setting);

}  // namespace ampturn::plan::tree
