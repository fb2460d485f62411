#pragma once

#include <string>
#include <vector>

namespace ampturn::cli::arguments {

/// "LOW:HIGH:N", as several flags take it.
struct NumberRange {
    double low, high;
    int count;
};
/// InputError naming the flag when the text is not two finite numbers, rising, and a count of 1
/// (2 when they differ) to count_max.
NumberRange parse_number_range(const std::string& text, const std::string& flag, int count_max);
/// Evenly spaced, both ends included.
std::vector<double> evenly(const NumberRange& range);

}  // namespace ampturn::cli::arguments
