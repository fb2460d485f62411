#pragma once

#include <string>

namespace ampturn::setup {

/// A figure that keeps people safe, metres of a distance or seconds to wait: to a tenth, never down, so that every
/// output shows the same one. What is a tenth already stays (rounding of the last digits does not count). Infinite
/// and NaN stay as they are.
double rounded_up_to_tenth(double value);
/// With its decimal, rounded up: "2.5"; "-" when it is not finite.
std::string safety_figure_text(double value);
/// To so many significant digits, never down: 0.12341, 3 -> 0.124. value >= 0; 0, infinite and NaN stay as they are.
double rounded_up_to_digits(double value, int digits);
/// The same as text; "-" when it is not finite.
std::string safety_significant_text(double value, int digits);
/// Volts to a whole one, rounded up: "739"; "-" when not finite.
std::string safety_volts_text(double volts);

}  // namespace ampturn::setup
