#pragma once

#include <concepts>
#include <cstdint>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

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

/// A whole number of a JSON text from outside: the library's own conversion of 1e300 or -1 to another kind of number is undefined
/// or silent. None when `json` is no whole number (1.0 is none either) or does not fit.
template <std::integral Whole, class Json>
std::optional<Whole> whole_number(const Json& json) {
    if (json.is_number_unsigned()) {
        const auto number = json.template get<std::uint64_t>();
        if (std::in_range<Whole>(number)) return static_cast<Whole>(number);
    } else if (json.is_number_integer()) {
        const auto number = json.template get<std::int64_t>();
        if (std::in_range<Whole>(number)) return static_cast<Whole>(number);
    }
    return std::nullopt;
}

/// Line and column of a byte of a text.
Position position_of_byte(std::string_view text, std::size_t byte);

}  // namespace ampturn::base
