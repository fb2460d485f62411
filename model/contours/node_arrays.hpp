#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "model/base/lane_count.hpp"

namespace ampturn::model::contours {

/// Complex numbers as two arrays, which loops vectorise over.
struct ComplexArray {
    std::vector<double> re, im;
    void resize(std::size_t n) {
        re.resize(n);
        im.resize(n);
    }
    /// At least n places; those that were there keep what they hold.
    void reserve_places(std::size_t n) {
        if (re.size() < n) resize(n);
    }
    std::size_t size() const { return re.size(); }
    std::complex<double> operator[](std::size_t i) const { return {re[i], im[i]}; }
};

/// Carrier functions times quadrature weights, d lambda left in units of the contour's length.
struct CarrierWeights {
    ComplexArray order_0, order_1;
};

/// Powers of zeta that sums near 0 are kept for: a lane each.
inline constexpr std::size_t power_count = lane_count;

}  // namespace ampturn::model::contours
