#pragma once

#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "scheduler/base/input_error.hpp"

namespace ampturn::base {

/// A number rounded to nine significant digits, so that written bytes do not depend on the last bits of a
/// maths library; null for what is not finite; no negative zero.
nlohmann::ordered_json json_number(double value);

/// Where each value of a JSON text begins, by the path people read: "dipole_cases[3].model.thickness_m[0]".
/// The text must be valid JSON (a parser has accepted it). The whole text has the path "".
std::map<std::string, Position> json_positions(const std::string& text);

/// Line and column of a byte of a text.
Position position_of_byte(const std::string& text, std::size_t byte);

}  // namespace ampturn::base
