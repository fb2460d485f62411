#pragma once

#include <string>
#include <vector>

#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

/// Two days side by side: what changes and by how much.

struct ComparedValue {
    std::string name;  // with its unit
    double a, b;       // NaN where a day has none
};
/// A station and frequency whose verdict differs. Stations are paired by name, frequencies to a thousandth.
struct ComparedReading {
    std::string station;
    double frequency_hz;
    reading::Verdict a, b;
};
struct Comparison {
    std::string name_a, name_b;  // paths of the plans
    std::vector<ComparedValue> values;
    std::vector<ComparedReading> changed;
    int better, worse;                              // became usable, ceased to be usable
    std::vector<std::string> only_in_a, only_in_b;  // "station X", "975 Hz"
    bool invented = false;                          // one of the two is an invented scenario
};
Comparison compare_days(const day::DayResult& a, const day::DayResult& b);

std::string compare_text(const Comparison& comparison, bool colour);
std::string compare_json_text(const Comparison& comparison);  // schema "ampturn.compare" 1
std::string compare_html(const Comparison& comparison);       // a page with the same tables

}  // namespace ampturn::report
