#include "scheduler/field_request/written_estimates.hpp"

#include <algorithm>
#include <cmath>

namespace ampturn::field_request {

namespace {

constexpr double least_rel = 1e-11;

double written(double estimate, double largest) {
    const double least = std::max(estimate, least_rel * largest);
    if (!(least > 0) || !std::isfinite(least)) return least;
    const double unit = std::pow(10.0, std::floor(std::log10(least)) - 1);
    return std::ceil(least / unit * (1 - 1e-9)) * unit;
}

}  // namespace

WrittenEstimates::WrittenEstimates(const model::fields::FieldResult& result) {
    const model::fields::Fields& f = result.fields;
    const double e = std::max(std::abs(f.ex_v_per_m), std::abs(f.ey_v_per_m));
    const double h = std::max({std::abs(f.hx_a_per_m), std::abs(f.hy_a_per_m), std::abs(f.hz_a_per_m)});
    e_v_per_m = written(result.e_error_v_per_m, e);
    h_a_per_m = written(result.h_error_a_per_m, h);
    e_rel = written(result.e_error_v_per_m / e, 1);
    h_rel = written(result.h_error_a_per_m / h, 1);
}

}  // namespace ampturn::field_request
