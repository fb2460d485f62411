#pragma once

#include <cmath>
#include <complex>

namespace ampturn::model {

/// The square root with a real part >= 0; z != 0, |z|^2 neither overflows nor underflows. 2 ulp. Standard libraries differ in
/// the last bits of std::sqrt of a complex number, so it is used nowhere.
/// Source: elementary, from sqrt(z)^2 = z and |sqrt(z)|^2 = |z|.
inline std::complex<double> principal_root(std::complex<double> z) {
    const double magnitude = std::sqrt(z.real() * z.real() + z.imag() * z.imag());
    const double large = std::sqrt(0.5 * (magnitude + std::abs(z.real())));
    const double small = 0.5 * std::abs(z.imag()) / large;
    const double re = z.real() >= 0 ? large : small, im = z.real() >= 0 ? small : large;
    return {re, z.imag() < 0 ? -im : im};
}

}  // namespace ampturn::model
