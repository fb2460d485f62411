#include "scheduler/cli/arguments/number_range.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/number_text.hpp"

namespace ampturn::cli::arguments {

namespace {

bool read(std::string_view text, double& value) {
    const std::optional<double> number = base::number_in(text);
    value = number.value_or(0);
    return number.has_value();
}

}  // namespace

NumberRange parse_number_range(const std::string& text, const std::string& flag, int count_max) {
    NumberRange out{};
    double count = 0;
    const auto first = text.find(':');
    const auto second = first == std::string::npos ? first : text.find(':', first + 1);
    const std::string_view all(text);
    const bool good = second != std::string::npos && read(all.substr(0, first), out.low) &&
                      read(all.substr(first + 1, second - first - 1), out.high) &&
                      read(all.substr(second + 1), count) && out.low < out.high &&
                      count == std::floor(count) && count >= 2 && count <= count_max;
    if (!good)
        throw base::InputError({flag,
                                {},
                                "",
                                text,
                                fmt::format("LOW:HIGH:N with LOW below HIGH and N from 2 to {}", count_max)});
    out.count = static_cast<int>(count);
    return out;
}

std::vector<double> evenly(const NumberRange& range) {
    std::vector<double> out;
    for (int i = 0; i < range.count; ++i)
        out.push_back(i + 1 == range.count ? range.high
                                           : range.low + (range.high - range.low) * i / (range.count - 1));
    return out;
}

}  // namespace ampturn::cli::arguments
