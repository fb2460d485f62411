#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <span>

namespace ampturn::rehearse::record {

/// Fourier transforms of one length of complex series, or of two real ones at once, x + i y:
///
///     forward   X[k] = sum_n x[n] e^{-2 pi i k n / N},  backward  x[n] = sum_k X[k] e^{2 pi i k n / N},  k, n = 0 .. N-1
///
/// Nothing is normalised. Sums are taken in the same order on every machine, so the same input gives the same bytes; errors are
/// about 1e-16 log2(N) of the root-mean-square. A length is planned once in a process. One object serves one thread at a time;
/// objects in several threads do not disturb each other.
/// Source: Stockham's self-sorting form of Cooley and Tukey (1965), Math. Comp. 19, 297-301, in mixed radix: Van Loan (1992),
/// Computational frameworks for the fast Fourier transform, 1.7 and 2.2, from memory.
class Fourier {
  public:
    /// A length with small factors (model/receiver/record_factors.hpp), else std::invalid_argument.
    explicit Fourier(std::size_t length);
    ~Fourier();
    Fourier(Fourier&&) noexcept;
    Fourier& operator=(Fourier&&) noexcept;

    /// Buffers: forward() reads the series and writes the spectrum, backward() the other way.
    std::span<std::complex<double>> series();
    std::span<std::complex<double>> spectrum();
    void forward();
    void backward();

  private:
    struct Work;
    std::unique_ptr<Work> work_;
};

}  // namespace ampturn::rehearse::record
