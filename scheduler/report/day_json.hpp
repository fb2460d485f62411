#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

/// The whole of a day as JSON (RFC 8259): the unit ends every key that has one, keys keep the order of
/// DayResult, times are seconds after local midnight, ratios of powers are plain ratios (not dB). Numbers are
/// rounded to nine significant digits, so the bytes do not depend on the last bits of a maths library; what
/// is not a finite number is null. The result carries "schema": "ampturn.day" and "schema_version": 1.
nlohmann::ordered_json day_json(const day::DayResult& day);

/// The same, indented by two spaces and closed by a newline.
std::string day_json_text(const day::DayResult& day);

}  // namespace ampturn::report
