#pragma once

#include <locale>
#include <sstream>
#include <stdexcept>
#include <string_view>

namespace ampturn::model {

/// Throws std::invalid_argument "NAME VALUE: allowed LOW to HIGH" unless low <= value <= high; NaN fails.
inline void check_range(double value, std::string_view name, double low, double high) {
    if (value >= low && value <= high) return;
    std::ostringstream text;
    text.imbue(std::locale::classic());
    text.precision(12);
    text << name << ' ' << value << ": allowed " << low << " to " << high;
    throw std::invalid_argument(text.str());
}

}  // namespace ampturn::model
