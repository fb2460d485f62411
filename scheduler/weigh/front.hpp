#pragma once

#include <cstddef>
#include <vector>

namespace ampturn::weigh {

/// What senders are compared by. Nine significant digits count, so that the last bits of a maths library decide nothing.
struct Worth {
    double moment_a_m2 = 0;                // the more the better
    double weight_kg = 0, watt_hours = 0;  // the less the better
};
Worth to_nine_digits(const Worth& worth);

/// Nowhere worse and somewhere better.
bool dominates(const Worth& a, const Worth& b);

/// Indices of those that no other dominates, rising; of equal ones the first alone. Exact.
std::vector<std::size_t> front_of(const std::vector<Worth>& all);

}  // namespace ampturn::weigh
