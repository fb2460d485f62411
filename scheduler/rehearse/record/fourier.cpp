#include "scheduler/rehearse/record/fourier.hpp"

#include <cmath>
#include <map>
#include <mutex>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "model/base/constants.hpp"
#include "model/receiver/record_factors.hpp"
#include "scheduler/rehearse/record/fourier_stage.hpp"

namespace ampturn::rehearse::record {
namespace {

using Complex = std::complex<double>;
using Stages = std::vector<FourierStage>;

/// e^{-2 pi i k / n}.
Complex turn(std::size_t k, std::size_t n) {
    return std::polar(1.0, -2 * model::pi * static_cast<double>(k % n) / static_cast<double>(n));
}

/// Fours first: what follows then works on stretches that fill a vector.
Stages stages_of(std::size_t length) {
    Stages stages;
    std::size_t left = length, done = 1;
    for (const std::size_t radix : {4, 2, 3, 5, 7, 11, 13})
        for (; left % radix == 0; left /= radix, done *= radix) {
            FourierStage stage{.radix = radix,
                               .parts = left / radix,
                               .stretch = done,
                               .turns_re = {},
                               .turns_im = {},
                               .roots = {}};
            for (std::size_t j = 1; j < radix; ++j)
                for (std::size_t p = 0; p < stage.parts; ++p) {
                    const Complex turned = turn(j * p, left);
                    stage.turns_re.push_back(turned.real());
                    stage.turns_im.push_back(turned.imag());
                }
            for (std::size_t k = 0; k < radix; ++k) stage.roots.push_back(turn(k, radix));
            stages.push_back(std::move(stage));
        }
    return stages;
}

/// Those of a length, made when first asked for and kept.
const Stages& kept_stages(std::size_t length) {
    static std::mutex mutex;
    static std::map<std::size_t, Stages> kept;
    const std::lock_guard lock(mutex);
    const auto found = kept.find(length);
    return found != kept.end() ? found->second : kept.emplace(length, stages_of(length)).first->second;
}

/// Real and imaginary parts apart.
struct Parts {
    std::vector<double> re, im;
    explicit Parts(std::size_t length) : re(length), im(length) {}
};

}  // namespace

struct Fourier::Work {
    std::vector<Complex> series, spectrum;
    const Stages& stages;
    Parts here, there;

    explicit Work(std::size_t length)
        : series(length), spectrum(length), stages(kept_stages(length)), here(length), there(length) {}

    /// Forward; with real and imaginary parts exchanged on both sides it is backward.
    void transform(const std::vector<Complex>& from, std::vector<Complex>& to, bool exchanged) {
        double *re = exchanged ? here.im.data() : here.re.data(),
               *im = exchanged ? here.re.data() : here.im.data();
        take_apart(reinterpret_cast<const double*>(from.data()), from.size(), re, im);
        for (const FourierStage& stage : stages) {
            apply(stage, here.re.data(), here.im.data(), there.re.data(), there.im.data());
            std::swap(here, there);
        }
        re = exchanged ? here.im.data() : here.re.data(), im = exchanged ? here.re.data() : here.im.data();
        put_together(re, im, to.size(), reinterpret_cast<double*>(to.data()));
    }
};

Fourier::Fourier(std::size_t length) {
    if (!model::receiver::has_small_factors(length))
        throw std::invalid_argument("fourier: length " + std::to_string(length) +
                                    ", must be a product of prime factors up to " +
                                    std::to_string(model::receiver::record_factor_max));
    work_ = std::make_unique<Work>(length);
}
Fourier::~Fourier() = default;
Fourier::Fourier(Fourier&&) noexcept = default;
Fourier& Fourier::operator=(Fourier&&) noexcept = default;

std::span<Complex> Fourier::series() { return work_->series; }
std::span<Complex> Fourier::spectrum() { return work_->spectrum; }
void Fourier::forward() { work_->transform(work_->series, work_->spectrum, false); }
void Fourier::backward() { work_->transform(work_->spectrum, work_->series, true); }

}  // namespace ampturn::rehearse::record
