#pragma once

#include <cmath>

namespace ampturn::plan {

/// When a day that starts at start_s ends, seconds after its local midnight, its end given as a time of day: on the
/// next day when that is not later than the start.
inline double end_after_start_s(double start_s, double end_time_of_day_s) {
    constexpr double day_s = 86'400;
    const double end_s = std::fmod(end_time_of_day_s, day_s);
    return end_s > start_s ? end_s : end_s + day_s;
}

}  // namespace ampturn::plan
