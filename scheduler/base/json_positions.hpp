#pragma once

#include <map>
#include <string>

#include "scheduler/base/input_error.hpp"

namespace ampturn::plan {

/// Where each value of a JSON text begins, by the path people read: "dipole_cases[3].model.thickness_m[0]".
/// The text must be valid JSON (a parser has accepted it). The whole text has the path "".
std::map<std::string, Position> json_positions(const std::string& text);

/// Line and column of a byte of a text.
Position position_of_byte(const std::string& text, std::size_t byte);

}  // namespace ampturn::plan
