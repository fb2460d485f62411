#pragma once

#include <complex>
#include <cstddef>
#include <vector>

namespace ampturn::rehearse::record {

/// One stage of a self-sorting Fourier transform (fourier.hpp): of `radix` numbers a[k] = x[q + stretch (p + parts k)] the transform
/// of that length, turned, y[q + stretch (radix p + j)] = e^{-2 pi i j p / (radix parts)} sum_k a[k] e^{-2 pi i j k / radix}, for
/// p = 0 .. parts - 1 and q = 0 .. stretch - 1. Real and imaginary parts are apart.
struct FourierStage {
    std::size_t radix, parts, stretch;
    std::vector<double> turns_re, turns_im;   // of j = 1 .. radix - 1, p = 0 .. parts - 1, j after j
    std::vector<std::complex<double>> roots;  // e^{-2 pi i k / radix}
};

/// x and y must not overlap. radix up to record_factor_max.
void apply(const FourierStage& stage, const double* x_re, const double* x_im, double* y_re, double* y_im);

/// Real and imaginary parts of `count` complex numbers, which lie in turn in `z`.
void take_apart(const double* z, std::size_t count, double* re, double* im);
void put_together(const double* re, const double* im, std::size_t count, double* z);

}  // namespace ampturn::rehearse::record
