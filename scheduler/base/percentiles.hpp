#pragma once

#include <vector>

namespace ampturn::plan {

/// 10, 50 and 90 per cent of the values lie below.
struct Percentiles {
    double p10, p50, p90;
};

/// Linear between order statistics. `values` is not empty and holds no NaN.
Percentiles percentiles(std::vector<double> values);

}  // namespace ampturn::plan
