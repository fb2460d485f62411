#include "scheduler/plan/required_pairs.hpp"

#include <algorithm>
#include <cmath>

namespace ampturn::plan {

bool is_required(const Station& station, double frequency_hz) {
    if (station.required_frequencies_hz.empty()) return true;
    return std::any_of(station.required_frequencies_hz.begin(), station.required_frequencies_hz.end(),
                       [&](double f) { return std::abs(f - frequency_hz) <= 1e-3 * f; });
}

}  // namespace ampturn::plan
