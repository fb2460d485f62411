#include "scheduler/rehearse/process/spectra.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "model/base/dispatch.hpp"
#include "model/receiver/line_placement.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/rehearse/record/fourier.hpp"

namespace ampturn::rehearse::process {
namespace {

using Complex = std::complex<double>;

/// Adds one observation of E, H (and R = H) to a piece.
void add_observation(CrossSpectra& piece, const Complex (&e)[2], const Complex (&h)[2]) {
    // Plain products: std::complex's look out for infinities.
    const auto times_conjugate = [](Complex a, Complex b) {
        return Complex(a.real() * b.real() + a.imag() * b.imag(), a.imag() * b.real() - a.real() * b.imag());
    };
    piece.ex_ey += times_conjugate(e[0], e[1]);
    for (int i = 0; i < 2; ++i) {
        piece.ee[i] += std::norm(e[i]);
        for (int j = 0; j < 2; ++j) {
            piece.eh[i][j] += times_conjugate(e[i], h[j]);
            piece.hh[i][j] += times_conjugate(h[i], h[j]);
        }
    }
}

}  // namespace

std::vector<CrossSpectra> line_cross_spectra(const LineRecords& a, const LineRecords& b) {
    std::vector<CrossSpectra> pieces;
    pieces.reserve(a.size() + b.size());
    for (int polarisation = 0; polarisation < 2; ++polarisation)
        for (const LineRecord& record : polarisation == 0 ? a : b) {
            CrossSpectra piece{};
            const Complex e[2] = {record.ex, record.ey}, h[2] = {record.hx, record.hy};
            add_observation(piece, e, h);
            for (int i = 0; i < 2; ++i) {
                piece.er[i][polarisation] = e[i];
                piece.hr[i][polarisation] = h[i];
            }
            piece.stratum = polarisation;
            pieces.push_back(piece);
        }
    return pieces;
}

NaturalBand natural_band(const BandRequest& request) {
    NaturalBand band{.low_hz = request.low_hz,
                     .high_hz = request.high_hz,
                     .centre_hz = std::sqrt(request.low_hz * request.high_hz),
                     .bins = {}};
    const double bin_hz = request.sample_rate_hz / static_cast<double>(request.record_length);
    // A bin to spare beyond half the main lobe.
    const double lobe_hz = (model::receiver::main_lobe_bins(plan::window_of(request.window)) + 1) * bin_hz;
    // A long record has many bins a band; 400 are plenty, and keep the work per record small.
    const auto first = static_cast<std::size_t>(std::ceil(request.low_hz / bin_hz));
    const auto last = static_cast<std::size_t>(std::floor(request.high_hz / bin_hz));
    const std::size_t stride = std::max<std::size_t>(2, last > first ? (last - first) / 400 : 2);
    for (std::size_t bin = std::max<std::size_t>(first, 1); bin <= last && 2 * bin < request.record_length;
         bin += stride) {
        const double frequency_hz = static_cast<double>(bin) * bin_hz;
        const double order = std::round(frequency_hz / request.line_hz);
        if (order >= 1 && std::abs(frequency_hz - order * request.line_hz) <= lobe_hz) continue;
        if (request.mains_hz > 0) {
            const int n = static_cast<int>(std::lround(frequency_hz / request.mains_hz));
            if (n >= 1 && n <= std::min(request.mains_orders, model::receiver::orders_with_whole_guards) &&
                std::abs(frequency_hz - n * request.mains_hz) <=
                    model::receiver::mains_guard_hz(n, request.mains_hz, request.weak_grid, lobe_hz))
                continue;
        }
        band.bins.push_back(bin);
    }
    return band;
}

/// E and H of the horizontal axes as x + i y, so that one transform serves two channels.
struct StepSpectra::Work {
    record::Fourier electric, magnetic;
    explicit Work(std::size_t length) : electric(length), magnetic(length) {}
};

namespace {

/// Transforms of x and y at a bin, from that of x + i y.
struct PairOfBins {
    Complex x, y;
};
PairOfBins bins_of(std::span<const Complex> both, std::size_t bin) {
    const Complex here = both[bin], mirrored = std::conj(both[bin == 0 ? 0 : both.size() - bin]);
    const Complex sum = here + mirrored, difference = here - mirrored;
    return {0.5 * sum, {0.5 * difference.imag(), -0.5 * difference.real()}};
}

AMPTURN_DISPATCH(weigh,
                 (const double* x, const double* y, const double* weights, std::size_t count, double* both), {
                     for (std::size_t n = 0; n < count; ++n) {
                         both[2 * n] = x[n] * weights[n];
                         both[2 * n + 1] = y[n] * weights[n];
                     }
                 })

}  // namespace

StepSpectra::StepSpectra(double sample_rate_hz, std::vector<double> weights, std::vector<NaturalBand> bands,
                         Keep keep)
    : sample_rate_hz_(sample_rate_hz),
      weights_(std::move(weights)),
      bands_(std::move(bands)),
      pieces_(bands_.size()),
      work_(std::make_unique<Work>(weights_.size())) {
    double squares = 0;
    for (const double w : weights_) squares += w * w;
    density_scale_ = 2 / (sample_rate_hz * squares);
    if (keep == Keep::densities)
        for (auto& power : power_) power.assign(weights_.size() / 2 + 1, 0.0);
}
StepSpectra::~StepSpectra() = default;
StepSpectra::StepSpectra(StepSpectra&&) noexcept = default;

void StepSpectra::add(const RecordView& record) {
    const auto transform = [&](std::span<const double> x, std::span<const double> y,
                               record::Fourier& fourier) {
        weigh(x.data(), y.data(), weights_.data(), weights_.size(),
              reinterpret_cast<double*>(fourier.series().data()));
        fourier.forward();
        return std::span<const Complex>(fourier.spectrum());
    };
    const auto electric = transform(record.ex, record.ey, work_->electric);
    const auto magnetic = transform(record.hx, record.hy, work_->magnetic);
    for (std::size_t k = 0; k < power_[0].size(); ++k) {
        const PairOfBins e = bins_of(electric, k), h = bins_of(magnetic, k);
        power_[0][k] += std::norm(e.x);
        power_[1][k] += std::norm(e.y);
        power_[2][k] += std::norm(h.x);
        power_[3][k] += std::norm(h.y);
    }
    for (std::size_t band = 0; band < bands_.size(); ++band) {
        CrossSpectra piece{};
        for (const std::size_t bin : bands_[band].bins) {
            const PairOfBins of_e = bins_of(electric, bin), of_h = bins_of(magnetic, bin);
            const Complex e[2] = {of_e.x, of_e.y}, h[2] = {of_h.x, of_h.y};
            add_observation(piece, e, h);
        }
        pieces_[band].push_back(piece);
    }
    ++records_;
}

std::vector<double> StepSpectra::density(int channel) const {
    std::vector<double> mean = power_[channel];
    if (mean.empty()) throw std::logic_error("spectra: densities were not kept");
    const auto last = mean.size() - 1;
    for (std::size_t k = 0; k <= last; ++k)
        mean[k] *= density_scale_ / static_cast<double>(records_) * (k == 0 || k == last ? 0.5 : 1.0);
    return mean;
}

}  // namespace ampturn::rehearse::process
