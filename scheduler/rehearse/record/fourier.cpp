#include "scheduler/rehearse/record/fourier.hpp"

#include <fftw3.h>

#include <mutex>
#include <stdexcept>
#include <string>

namespace ampturn::rehearse::record {
namespace {

/// FFTW's planner, unlike its transforms, must not run in two threads at once.
std::mutex& planner_mutex() {
    static std::mutex mutex;
    return mutex;
}

}  // namespace

struct Fourier::Plans {
    double* series;
    std::complex<double>* spectrum;
    fftw_plan forward, backward;

    explicit Plans(std::size_t length)
        : series(fftw_alloc_real(length)),
          spectrum(reinterpret_cast<std::complex<double>*>(fftw_alloc_complex(length / 2 + 1))) {
        const std::lock_guard lock(planner_mutex());
        auto* bins = reinterpret_cast<fftw_complex*>(spectrum);
        forward = fftw_plan_dft_r2c_1d(static_cast<int>(length), series, bins, FFTW_ESTIMATE);
        backward = fftw_plan_dft_c2r_1d(static_cast<int>(length), bins, series, FFTW_ESTIMATE);
    }
    ~Plans() {
        const std::lock_guard lock(planner_mutex());
        fftw_destroy_plan(forward);
        fftw_destroy_plan(backward);
        fftw_free(series);
        fftw_free(spectrum);
    }
    Plans(const Plans&) = delete;
    Plans& operator=(const Plans&) = delete;
};

Fourier::Fourier(std::size_t length) : length_(length) {
    if (length < 2 || length % 2 != 0)
        throw std::invalid_argument("fourier: length " + std::to_string(length) + ", must be even and >= 2");
    plans_ = std::make_unique<Plans>(length);
}
Fourier::~Fourier() = default;
Fourier::Fourier(Fourier&&) noexcept = default;
Fourier& Fourier::operator=(Fourier&&) noexcept = default;

std::span<double> Fourier::series() { return {plans_->series, length_}; }
std::span<std::complex<double>> Fourier::spectrum() { return {plans_->spectrum, bins()}; }
void Fourier::forward() { fftw_execute(plans_->forward); }
void Fourier::backward() { fftw_execute(plans_->backward); }

}  // namespace ampturn::rehearse::record
