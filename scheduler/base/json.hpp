#pragma once

#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "scheduler/base/input_error.hpp"

namespace ampturn::base {

/// A number rounded to nine significant digits, so that written bytes do not depend on the last bits of a
/// maths library; null for what is not finite; no negative zero.
nlohmann::ordered_json json_number(double value);

/// The text of a result: every number in it as by json_number, text that is not UTF-8 with replacement marks, a newline at
/// the end. indent -1: one line, and no newline.
std::string json_text(nlohmann::ordered_json value, int indent);
std::string json_text(const nlohmann::json& value, int indent);

/// Where each value of a JSON text begins, by the path people read: "dipole_cases[3].model.thickness_m[0]".
/// The text must be valid JSON (a parser has accepted it). The whole text has the path "".
std::map<std::string, Position> json_positions(const std::string& text);

/// Line and column of a byte of a text.
Position position_of_byte(std::string_view text, std::size_t byte);

}  // namespace ampturn::base
