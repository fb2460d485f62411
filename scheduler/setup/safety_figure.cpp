#include "scheduler/setup/safety_figure.hpp"

#include <cmath>

#include "scheduler/base/number_text.hpp"

namespace ampturn::setup {

double rounded_up_to_tenth(double value) {
    constexpr double last_digits = 1e-9;  // 10 * 1.1 is a little more than 11
    return std::isfinite(value) ? std::ceil(10 * value - last_digits) / 10 : value;
}

std::string safety_figure_text(double value) { return base::decimals(rounded_up_to_tenth(value), 1); }

double rounded_up_to_digits(double value, int digits) {
    constexpr double last_digits = 1e-12;
    if (!std::isfinite(value) || !(value > 0)) return value;
    const double step = std::pow(10.0, std::floor(std::log10(value)) - digits + 1);
    return std::ceil(value / step * (1 - last_digits)) * step;
}

std::string safety_significant_text(double value, int digits) {
    return base::significant(rounded_up_to_digits(value, digits), digits);
}

std::string safety_volts_text(double volts) {
    constexpr double last_digits = 1e-9;
    return base::decimals(std::isfinite(volts) ? std::ceil(volts - last_digits) : volts, 0);
}

}  // namespace ampturn::setup
