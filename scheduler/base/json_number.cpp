#include "scheduler/base/json_number.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

namespace ampturn::plan {

nlohmann::ordered_json json_number(double value) {
    if (!std::isfinite(value)) return nullptr;
    const std::string text = fmt::format("{:.9g}", value);
    double rounded = 0;
    std::from_chars(text.data(), text.data() + text.size(), rounded);
    return rounded == 0 ? 0.0 : rounded;
}

}  // namespace ampturn::plan
