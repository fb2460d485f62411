#include "scheduler/base/percentiles.hpp"

#include <algorithm>
#include <cstddef>

namespace ampturn::plan {

Percentiles percentiles(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const auto at = [&](double p) {
        const double x = p * static_cast<double>(values.size() - 1);
        const auto i = static_cast<std::size_t>(x);
        const double next = values[std::min(i + 1, values.size() - 1)];
        return values[i] + (x - static_cast<double>(i)) * (next - values[i]);
    };
    return {.p10 = at(0.1), .p50 = at(0.5), .p90 = at(0.9)};
}

}  // namespace ampturn::plan
