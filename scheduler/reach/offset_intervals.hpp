#pragma once

#include <vector>

namespace ampturn::reach {

struct OffsetInterval {
    double from_m, to_m;
};

/// All intervals in which a quantity, sampled at rising offsets, is at most 1; ends by straight lines between
/// samples in log offset. The first and last sample close intervals that reach beyond them. A dip or peak
/// narrower than the sampling is not seen.
std::vector<OffsetInterval> intervals_up_to_one(const std::vector<double>& offsets_m,
                                                const std::vector<double>& ratios);

/// What lies in both; both lists rising and without overlaps.
std::vector<OffsetInterval> common_intervals(const std::vector<OffsetInterval>& a,
                                             const std::vector<OffsetInterval>& b);

}  // namespace ampturn::reach
