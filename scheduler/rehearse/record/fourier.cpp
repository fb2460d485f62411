#include "scheduler/rehearse/record/fourier.hpp"

#include <fftw3.h>

#include <map>
#include <mutex>
#include <stdexcept>
#include <string>

namespace ampturn::rehearse::record {
namespace {

using Complex = std::complex<double>;

fftw_complex* fftw(Complex* z) { return reinterpret_cast<fftw_complex*>(z); }

struct FftwFree {
    void operator()(void* memory) const { fftw_free(memory); }
};
using Reals = std::unique_ptr<double[], FftwFree>;
using Complexes = std::unique_ptr<Complex[], FftwFree>;
Reals reals(std::size_t count) { return Reals(fftw_alloc_real(count)); }
Complexes complexes(std::size_t count) {
    return Complexes(reinterpret_cast<Complex*>(fftw_alloc_complex(count)));
}

struct PlanFree {
    void operator()(fftw_plan_s* plan) const { fftw_destroy_plan(plan); }
};
using Plan = std::unique_ptr<fftw_plan_s, PlanFree>;
struct Plans {
    Plan forward, backward;
};

/// FFTW's planner, unlike its transforms, must not run in two threads at once.
std::mutex& planner_mutex() {
    static std::mutex mutex;
    return mutex;
}

/// The plans of a length, made when first asked for and kept: any arrays that fftw_alloc aligns may use them, in any
/// thread.
template <class Make>
const Plans& plans_of(std::map<std::size_t, Plans>& kept, std::size_t length, Make make) {
    const std::lock_guard lock(planner_mutex());
    const auto found = kept.find(length);
    return found != kept.end() ? found->second : kept.emplace(length, make()).first->second;
}

}  // namespace

struct Fourier::Work {
    Reals series;
    Complexes spectrum;
    const Plans* plans;

    explicit Work(std::size_t length) : series(reals(length)), spectrum(complexes(length / 2 + 1)) {
        static std::map<std::size_t, Plans> kept;
        plans = &plans_of(kept, length, [&] {
            const auto n = static_cast<int>(length);
            return Plans{Plan(fftw_plan_dft_r2c_1d(n, series.get(), fftw(spectrum.get()), FFTW_ESTIMATE)),
                         Plan(fftw_plan_dft_c2r_1d(n, fftw(spectrum.get()), series.get(), FFTW_ESTIMATE))};
        });
    }
};

Fourier::Fourier(std::size_t length) : length_(length) {
    if (length < 2 || length % 2 != 0)
        throw std::invalid_argument("fourier: length " + std::to_string(length) + ", must be even and >= 2");
    work_ = std::make_unique<Work>(length);
}
Fourier::~Fourier() = default;
Fourier::Fourier(Fourier&&) noexcept = default;
Fourier& Fourier::operator=(Fourier&&) noexcept = default;

std::span<double> Fourier::series() { return {work_->series.get(), length_}; }
std::span<Complex> Fourier::spectrum() { return {work_->spectrum.get(), bins()}; }
void Fourier::forward() {
    fftw_execute_dft_r2c(work_->plans->forward.get(), work_->series.get(), fftw(work_->spectrum.get()));
}
void Fourier::backward() {
    fftw_execute_dft_c2r(work_->plans->backward.get(), fftw(work_->spectrum.get()), work_->series.get());
}

struct ComplexFourier::Work {
    Complexes series, spectrum;
    const Plans* plans;

    explicit Work(std::size_t length) : series(complexes(length)), spectrum(complexes(length)) {
        static std::map<std::size_t, Plans> kept;
        plans = &plans_of(kept, length, [&] {
            const auto n = static_cast<int>(length);
            return Plans{Plan(fftw_plan_dft_1d(n, fftw(series.get()), fftw(spectrum.get()), FFTW_FORWARD,
                                               FFTW_ESTIMATE)),
                         Plan(fftw_plan_dft_1d(n, fftw(spectrum.get()), fftw(series.get()), FFTW_BACKWARD,
                                               FFTW_ESTIMATE))};
        });
    }
};

ComplexFourier::ComplexFourier(std::size_t length) : length_(length) {
    if (length < 1) throw std::invalid_argument("fourier: length 0, must be >= 1");
    work_ = std::make_unique<Work>(length);
}
ComplexFourier::~ComplexFourier() = default;
ComplexFourier::ComplexFourier(ComplexFourier&&) noexcept = default;
ComplexFourier& ComplexFourier::operator=(ComplexFourier&&) noexcept = default;

std::span<Complex> ComplexFourier::series() { return {work_->series.get(), length_}; }
std::span<Complex> ComplexFourier::spectrum() { return {work_->spectrum.get(), length_}; }
void ComplexFourier::forward() {
    fftw_execute_dft(work_->plans->forward.get(), fftw(work_->series.get()), fftw(work_->spectrum.get()));
}
void ComplexFourier::backward() {
    fftw_execute_dft(work_->plans->backward.get(), fftw(work_->spectrum.get()), fftw(work_->series.get()));
}

}  // namespace ampturn::rehearse::record
