#pragma once

#include <algorithm>
#include <cmath>
#include <complex>

#include "model/fields/fields.hpp"

/// Sizes of the field's two vectors, by their largest component, and the difference of two fields.
namespace ampturn::model::fields {

inline double e_size(const Fields& f) { return std::max(std::abs(f.ex_v_per_m), std::abs(f.ey_v_per_m)); }
inline double h_size(const Fields& f) {
    return std::max({std::abs(f.hx_a_per_m), std::abs(f.hy_a_per_m), std::abs(f.hz_a_per_m)});
}
inline Fields difference(const Fields& a, const Fields& b) {
    return {a.ex_v_per_m - b.ex_v_per_m, a.ey_v_per_m - b.ey_v_per_m, a.hx_a_per_m - b.hx_a_per_m,
            a.hy_a_per_m - b.hy_a_per_m, a.hz_a_per_m - b.hz_a_per_m};
}

}  // namespace ampturn::model::fields
