#include "scheduler/reach/offset_intervals.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace ampturn::reach {

namespace {

/// Where the line between two samples on different sides of 1 crosses it; ratios may be infinite.
double crossing_m(double offset_1_m, double ratio_1, double offset_2_m, double ratio_2) {
    if (std::isinf(ratio_1)) return offset_2_m;
    if (std::isinf(ratio_2)) return offset_1_m;
    const double share = (1 - ratio_1) / (ratio_2 - ratio_1);
    return std::exp(std::log(offset_1_m) + share * (std::log(offset_2_m) - std::log(offset_1_m)));
}

}  // namespace

std::vector<OffsetInterval> intervals_up_to_one(const std::vector<double>& offsets_m,
                                                const std::vector<double>& ratios) {
    if (offsets_m.size() != ratios.size()) throw std::logic_error("offsets and ratios differ in number");
    std::vector<OffsetInterval> out;
    bool inside = false;
    for (std::size_t i = 0; i < offsets_m.size(); ++i) {
        const bool now = ratios[i] <= 1;
        if (now && !inside)
            out.push_back(
                {i == 0 ? offsets_m[0] : crossing_m(offsets_m[i - 1], ratios[i - 1], offsets_m[i], ratios[i]),
                 offsets_m[i]});
        if (now) out.back().to_m = offsets_m[i];
        if (!now && inside)
            out.back().to_m = crossing_m(offsets_m[i - 1], ratios[i - 1], offsets_m[i], ratios[i]);
        inside = now;
    }
    return out;
}

std::vector<OffsetInterval> common_intervals(const std::vector<OffsetInterval>& a,
                                             const std::vector<OffsetInterval>& b) {
    std::vector<OffsetInterval> out;
    for (std::size_t i = 0, j = 0; i < a.size() && j < b.size();) {
        const double from_m = std::max(a[i].from_m, b[j].from_m), to_m = std::min(a[i].to_m, b[j].to_m);
        if (from_m < to_m) out.push_back({from_m, to_m});
        if (a[i].to_m < b[j].to_m)
            ++i;
        else
            ++j;
    }
    return out;
}

}  // namespace ampturn::reach
