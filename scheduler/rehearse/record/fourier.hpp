#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <span>

namespace ampturn::rehearse::record {

/// Fourier transforms of one length, by FFTW. Plans are made without timing runs (FFTW_ESTIMATE), so the same input gives
/// the same bytes on every run; a length is planned once in a process. Nothing is normalised. One object serves one
/// thread at a time; objects in several threads do not disturb each other.
///
/// Of real series,
///
///     forward   X[k] = sum_n x[n] e^{-2 pi i k n / N},  k = 0 .. N/2
///     backward  x[n] = X[0] + 2 Re sum_{k=1}^{N/2-1} X[k] e^{2 pi i k n / N} + (-1)^n Re X[N/2]
class Fourier {
  public:
    /// length even and >= 2, else std::invalid_argument.
    explicit Fourier(std::size_t length);
    ~Fourier();
    Fourier(Fourier&&) noexcept;
    Fourier& operator=(Fourier&&) noexcept;

    std::size_t length() const { return length_; }
    std::size_t bins() const { return length_ / 2 + 1; }

    /// Buffers that the transforms read and write; backward() destroys the spectrum.
    std::span<double> series();
    std::span<std::complex<double>> spectrum();
    void forward();
    void backward();

  private:
    struct Work;
    std::size_t length_;
    std::unique_ptr<Work> work_;
};

/// Of complex series: two real ones, x + i y, at the price of one and a half of them.
///
///     forward   X[k] = sum_n x[n] e^{-2 pi i k n / N},  backward  x[n] = sum_k X[k] e^{2 pi i k n / N},  k, n = 0 .. N-1
class ComplexFourier {
  public:
    /// length >= 1, else std::invalid_argument.
    explicit ComplexFourier(std::size_t length);
    ~ComplexFourier();
    ComplexFourier(ComplexFourier&&) noexcept;
    ComplexFourier& operator=(ComplexFourier&&) noexcept;

    std::size_t length() const { return length_; }

    /// Buffers: forward() reads the series and writes the spectrum, backward() the other way.
    std::span<std::complex<double>> series();
    std::span<std::complex<double>> spectrum();
    void forward();
    void backward();

  private:
    struct Work;
    std::size_t length_;
    std::unique_ptr<Work> work_;
};

}  // namespace ampturn::rehearse::record
