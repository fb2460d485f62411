#include "scheduler/rehearse/process/spectra.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "model/receiver/line_placement.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/rehearse/record/fourier.hpp"

namespace ampturn::rehearse::process {
namespace {

using Complex = std::complex<double>;

/// Adds one observation of E, H (and R = H) to a piece.
void add_observation(CrossSpectra& piece, const Complex (&e)[2], const Complex (&h)[2]) {
    piece.ex_ey += e[0] * std::conj(e[1]);
    for (int i = 0; i < 2; ++i) {
        piece.ee[i] += std::norm(e[i]);
        for (int j = 0; j < 2; ++j) {
            piece.eh[i][j] += e[i] * std::conj(h[j]);
            piece.hh[i][j] += h[i] * std::conj(h[j]);
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

struct StepSpectra::Work {
    record::Fourier transform;
    std::array<std::vector<Complex>, 4> spectra;
    explicit Work(std::size_t length) : transform(length) {
        for (auto& spectrum : spectra) spectrum.resize(transform.bins());
    }
};

StepSpectra::StepSpectra(double sample_rate_hz, std::size_t record_length, plan::Window window,
                         std::vector<NaturalBand> bands)
    : sample_rate_hz_(sample_rate_hz),
      weights_(model::receiver::periodic_samples(plan::window_of(window), record_length)),
      bands_(std::move(bands)),
      pieces_(bands_.size()),
      work_(std::make_unique<Work>(record_length)) {
    double squares = 0;
    for (const double w : weights_) squares += w * w;
    density_scale_ = 2 / (sample_rate_hz * squares);
    for (auto& power : power_) power.assign(record_length / 2 + 1, 0.0);
}
StepSpectra::~StepSpectra() = default;
StepSpectra::StepSpectra(StepSpectra&&) noexcept = default;

void StepSpectra::add(const RecordView& record) {
    const std::array channels{record.ex, record.ey, record.hx, record.hy};
    for (std::size_t c = 0; c < 4; ++c) {
        auto series = work_->transform.series();
        for (std::size_t n = 0; n < weights_.size(); ++n) series[n] = channels[c][n] * weights_[n];
        work_->transform.forward();
        auto spectrum = work_->transform.spectrum();
        for (std::size_t k = 0; k < spectrum.size(); ++k) {
            work_->spectra[c][k] = spectrum[k];
            power_[c][k] += std::norm(spectrum[k]);
        }
    }
    for (std::size_t band = 0; band < bands_.size(); ++band) {
        CrossSpectra piece{};
        for (const std::size_t bin : bands_[band].bins) {
            const Complex e[2] = {work_->spectra[0][bin], work_->spectra[1][bin]};
            const Complex h[2] = {work_->spectra[2][bin], work_->spectra[3][bin]};
            add_observation(piece, e, h);
        }
        pieces_[band].push_back(piece);
    }
    ++records_;
}

std::vector<double> StepSpectra::density(int channel) const {
    std::vector<double> mean = power_[channel];
    const auto last = mean.size() - 1;
    for (std::size_t k = 0; k <= last; ++k)
        mean[k] *= density_scale_ / static_cast<double>(records_) * (k == 0 || k == last ? 0.5 : 1.0);
    return mean;
}

}  // namespace ampturn::rehearse::process
