#pragma once

#include <nlohmann/json.hpp>

namespace ampturn::plan {

/// A number rounded to nine significant digits, so that written bytes do not depend on the last bits of a
/// maths library; null for what is not finite; no negative zero.
nlohmann::ordered_json json_number(double value);

}  // namespace ampturn::plan
