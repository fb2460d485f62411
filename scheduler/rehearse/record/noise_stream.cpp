#include "scheduler/rehearse/record/noise_stream.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "model/base/constants.hpp"
#include "scheduler/rehearse/record/fourier.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::rehearse::record {
namespace {

using Complex = std::complex<double>;

constexpr std::size_t mains_table_length = 1u << 14;

/// Unit complex numbers all round, between the axes.
const std::array<Complex, 4096>& directions() {
    static const auto table = [] {
        std::array<Complex, 4096> t;
        for (std::size_t i = 0; i < t.size(); ++i)
            t[i] = std::polar(1.0,
                              2 * model::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(t.size()));
        return t;
    }();
    return table;
}

}  // namespace

NoiseShape noise_shape(const Densities& densities, const Impedance& impedance, double sample_rate_hz,
                       std::size_t block_length, const model::receiver::ImpulseStatistics& impulses) {
    NoiseShape shape{.sample_rate_hz = sample_rate_hz,
                     .block_length = block_length,
                     .impulses = impulses,
                     .pair = {},
                     .impulse_h = {},
                     .vertical_h = {},
                     .impedance_ohm = {}};
    const std::size_t bins = block_length / 2 + 1;
    const double bin_hz = sample_rate_hz / static_cast<double>(block_length);
    shape.pair.resize(bins);
    shape.impulse_h.resize(bins);
    shape.vertical_h.resize(bins);
    shape.impedance_ohm.resize(bins);
    // A bin of density S holds power S df = 2 E|X|^2; X = root(S df/4) (g1 + i g2).
    const double unit = std::sqrt(bin_hz / 4);
    // A train of lambda impulses a second, of mean square height 1 and random direction, has E|X|^2 = lambda
    // T/2 in each axis; wanted is S df/2.
    const double block_s = static_cast<double>(block_length) / sample_rate_hz;
    const double train = std::sqrt(bin_hz / (impulses.per_second * block_s));
    for (std::size_t k = 1; k + 1 < bins; ++k) {
        const double frequency_hz = static_cast<double>(k) * bin_hz;
        if (frequency_hz < 1) continue;
        const DensityAt density = densities(frequency_hz);
        const Complex z = impedance(frequency_hz);
        const model::receiver::CorrelatedPair pair = model::receiver::correlated_pair(
            density.natural_h * (1 - impulses.power_fraction), density.sensor_h, density.sensor_e, z);
        shape.pair[k] = {pair.h * unit, pair.correlated * unit, pair.free * unit};
        shape.impulse_h[k] = train * std::sqrt(density.natural_h * impulses.power_fraction);
        shape.vertical_h[k] = unit * std::sqrt(density.sensor_h);
        shape.impedance_ohm[k] = z;
    }
    return shape;
}

struct NoiseStream::Work {
    const NoiseShape& shape;
    run::CounterRandom background, impulses;
    bool with_vertical;
    std::size_t fade_length, hop;
    std::uint64_t block = 0;
    Fourier transform;
    std::array<std::vector<Complex>, 2> train;  // spectra of the impulses, x and y
    std::vector<double> fade;                   // rising
    std::array<std::vector<double>, channel_count> whole, tail;

    Work(const NoiseShape& s, std::uint64_t seed, std::uint64_t stream, bool vertical)
        : shape(s),
          background(seed, run::combine(stream, run::stream_of("background"))),
          impulses(seed, run::combine(stream, run::stream_of("impulses"))),
          with_vertical(vertical),
          fade_length(s.block_length / 8),
          hop(s.block_length - fade_length),
          transform(s.block_length),
          fade(fade_length) {
        for (std::size_t n = 0; n < fade_length; ++n)
            fade[n] =
                std::sin(0.5 * model::pi * (static_cast<double>(n) + 0.5) / static_cast<double>(fade_length));
        for (auto& spectrum : train) spectrum.resize(transform.bins());
        for (auto& channel : whole) channel.resize(s.block_length);
        for (auto& channel : tail) channel.resize(fade_length);
        draw();
        keep_tails();
    }

    void draw_impulses() {
        const double mean =
            shape.impulses.per_second * static_cast<double>(shape.block_length) / shape.sample_rate_hz;
        struct Impulse {
            std::size_t sample;
            double x, y;
        };
        std::vector<Impulse> drawn;
        const std::uint64_t base = block << 24;  // more draws than any block can use
        double sum = 0;
        for (std::uint64_t i = 0;; ++i) {
            sum -= std::log(impulses.uniform(base + 2 * i)) / mean;
            if (sum >= 1) break;
            const auto normal = impulses.normal_pair(base + 2 * i + 1);
            const double height = model::receiver::impulse_height(shape.impulses, normal[0]);
            // The second normal value as a direction: its probability is uniform.
            const double azimuth = model::pi * (1 + std::erf(normal[1] / std::sqrt(2.0)));
            drawn.push_back({static_cast<std::size_t>(sum * static_cast<double>(shape.block_length)),
                             height * std::cos(azimuth), height * std::sin(azimuth)});
        }
        for (std::size_t axis = 0; axis < 2; ++axis) {
            auto series = transform.series();
            std::fill(series.begin(), series.end(), 0.0);
            for (const Impulse& impulse : drawn) series[impulse.sample] += axis == 0 ? impulse.x : impulse.y;
            transform.forward();
            std::copy(transform.spectrum().begin(), transform.spectrum().end(), train[axis].begin());
        }
    }

    /// Two independent unit complex Gaussian values (Box-Muller in polar form) from one draw of 128 bits:
    /// radius from 32 bits, which end at 6.7 standard deviations, angle from a table of 4096 directions,
    /// which spares the sines.
    std::array<Complex, 2> unit_pairs(std::size_t bin, std::uint64_t which) const {
        const auto bits = background.block(((block * transform.bins() + bin) << 2) + which);
        const auto one = [](std::uint32_t height, std::uint32_t direction) {
            const double radius = std::sqrt(-2 * std::log((static_cast<double>(height) + 0.5) * 0x1p-32));
            return radius * directions()[direction >> 20];
        };
        return {one(bits[0], bits[1]), one(bits[2], bits[3])};
    }

    /// One block of every channel into `whole`.
    void draw() {
        draw_impulses();
        // Hx drives -Ey, Hy drives Ex.
        draw_axis(train[0], 0, hx, ey, -1);
        draw_axis(train[1], 1, hy, ex, 1);
        if (with_vertical) {
            auto spectrum = transform.spectrum();
            for (std::size_t k = 0; k < spectrum.size(); ++k)
                spectrum[k] = shape.vertical_h[k] * unit_pairs(k, 2)[0];
            finish(hz);
        }
        ++block;
    }

    void draw_axis(const std::vector<Complex>& impulse, std::uint64_t which, std::size_t magnetic,
                   std::size_t electric, double sign) {
        auto& h_spectrum = h_bins;
        h_spectrum.resize(transform.bins());
        auto e_spectrum = transform.spectrum();
        for (std::size_t k = 0; k < e_spectrum.size(); ++k) {
            const auto [g, q] = unit_pairs(k, which);
            const model::receiver::CorrelatedPair& pair = shape.pair[k];
            const Complex sferic = shape.impulse_h[k] * impulse[k];
            h_spectrum[k] = pair.h * g + sferic;
            e_spectrum[k] = sign * (pair.correlated * g + pair.free * q + shape.impedance_ohm[k] * sferic);
        }
        finish(electric);
        std::copy(h_spectrum.begin(), h_spectrum.end(), transform.spectrum().begin());
        finish(magnetic);
    }

    void finish(std::size_t channel) {
        transform.backward();
        std::copy(transform.series().begin(), transform.series().end(), whole[channel].begin());
    }

    std::size_t channels() const { return with_vertical ? channel_count : channel_count - 1; }

    void keep_tails() {
        for (std::size_t c = 0; c < channels(); ++c)
            for (std::size_t n = 0; n < fade_length; ++n)
                tail[c][n] = whole[c][hop + n] * fade[fade_length - 1 - n];
    }

    std::vector<Complex> h_bins;
};

NoiseStream::NoiseStream(const NoiseShape& shape, std::uint64_t seed, std::uint64_t stream,
                         bool with_vertical)
    : work_(std::make_unique<Work>(shape, seed, stream, with_vertical)) {}
NoiseStream::~NoiseStream() = default;
NoiseStream::NoiseStream(NoiseStream&&) noexcept = default;

std::size_t NoiseStream::hop() const { return work_->hop; }

void NoiseStream::next(ChannelBlock& block) {
    Work& w = *work_;
    w.draw();
    block.resize(w.hop);
    if (!w.with_vertical) std::fill(block.samples[hz].begin(), block.samples[hz].end(), 0.0);
    for (std::size_t c = 0; c < w.channels(); ++c) {
        auto& out = block.samples[c];
        std::copy(w.whole[c].begin(), w.whole[c].begin() + static_cast<std::ptrdiff_t>(w.hop), out.begin());
        for (std::size_t n = 0; n < w.fade_length; ++n) out[n] = out[n] * w.fade[n] + w.tail[c][n];
    }
    w.keep_tails();
}

MainsWave::MainsWave(const model::receiver::Mains& mains, const Impedance& impedance, double sample_rate_hz,
                     std::uint64_t seed, std::uint64_t stream) {
    if (mains.frequency_hz <= 0 || mains.fundamental_b_t <= 0) return;
    any_ = true;
    const run::CounterRandom random(seed, run::combine(stream, run::stream_of("mains")));
    const auto angle = [&](std::uint64_t index) { return 2 * model::pi * random.uniform(index); };
    wander_ = {.nominal_hz = mains.frequency_hz,
               .half_width_hz = mains.weak_grid ? 0.01 * mains.frequency_hz : 0.1,
               .phase_rad = {angle(0), angle(1), angle(2)}};
    const double azimuth = angle(3);
    Fourier transform(mains_table_length);
    std::vector<Complex> h(transform.bins()), e(transform.bins());
    for (int order = 1; order <= mains.orders; ++order) {
        const double frequency_hz = order * mains.frequency_hz;
        if (frequency_hz >= 0.45 * sample_rate_hz) break;
        const double peak = std::sqrt(2.0) * mains.fundamental_b_t *
                            model::receiver::mains_relative_level(order) / model::mu0_h_per_m;
        const auto k = static_cast<std::size_t>(order);
        h[k] = std::polar(peak / 2, angle(3 + k));  // half: the other half is the negative frequency's
        e[k] = impedance(frequency_hz) * h[k];
    }
    const auto fill = [&](std::vector<double>& table, const std::vector<Complex>& spectrum, double factor) {
        std::copy(spectrum.begin(), spectrum.end(), transform.spectrum().begin());
        transform.backward();
        table.resize(mains_table_length + 1);
        for (std::size_t n = 0; n < mains_table_length; ++n) table[n] = factor * transform.series()[n];
        table[mains_table_length] = table[0];
    };
    fill(table_[ex], e, std::sin(azimuth));
    fill(table_[ey], e, -std::cos(azimuth));
    fill(table_[hx], h, std::cos(azimuth));
    fill(table_[hy], h, std::sin(azimuth));
}

void MainsWave::add(ChannelBlock& block, double first_s, double sample_rate_hz) const {
    if (!any_) return;
    constexpr std::size_t stretch = 256;  // samples over which the phase runs straight
    for (std::size_t begin = 0; begin < block.size(); begin += stretch) {
        const std::size_t end = std::min(block.size(), begin + stretch);
        const double start = wander_.cycles(first_s + static_cast<double>(begin) / sample_rate_hz);
        const double stop = wander_.cycles(first_s + static_cast<double>(end) / sample_rate_hz);
        const double slope = (stop - start) / static_cast<double>(end - begin);
        const double whole = std::floor(start);
        for (std::size_t n = begin; n < end; ++n) {
            double cycle = start - whole + slope * static_cast<double>(n - begin);
            cycle -= static_cast<double>(static_cast<long>(cycle));
            const double place = cycle * static_cast<double>(mains_table_length);
            const auto index = static_cast<std::size_t>(place);
            const double part = place - static_cast<double>(index);
            for (std::size_t c = 0; c < table_.size(); ++c)
                block.samples[c][n] += table_[c][index] + part * (table_[c][index + 1] - table_[c][index]);
        }
    }
}

void add_source(ChannelBlock& block, std::span<const SourceLine> lines,
                const model::receiver::StepEnvelope& envelope, double fundamental_hz, double first_s,
                double sample_rate_hz) {
    constexpr std::size_t stretch = 512;  // samples between fresh sines
    for (const SourceLine& line : lines) {
        const Complex turn = std::polar(1.0, 2 * model::pi * line.frequency_hz / sample_rate_hz);
        for (std::size_t begin = 0; begin < block.size(); begin += stretch) {
            const std::size_t end = std::min(block.size(), begin + stretch);
            const double begin_s = first_s + static_cast<double>(begin) / sample_rate_hz;
            const double end_s = first_s + static_cast<double>(end) / sample_rate_hz;
            const double first_cycle = fundamental_hz * begin_s, last_cycle = fundamental_hz * end_s;
            const bool steady = first_cycle >= envelope.ramp_cycles &&
                                last_cycle < envelope.ramp_cycles + envelope.dwell_cycles;
            const double cycles = line.frequency_hz * begin_s;
            Complex phasor = std::polar(1.0, 2 * model::pi * (cycles - std::floor(cycles)));
            for (std::size_t n = begin; n < end; ++n) {
                const double factor =
                    steady ? 1
                           : envelope.at(first_cycle +
                                         fundamental_hz * static_cast<double>(n - begin) / sample_rate_hz);
                const double in_phase = factor * phasor.real(), quadrature = factor * phasor.imag();
                for (std::size_t c = 0; c < channel_count; ++c)
                    block.samples[c][n] +=
                        line.amplitude[c].real() * in_phase - line.amplitude[c].imag() * quadrature;
                phasor = Complex(phasor.real() * turn.real() - phasor.imag() * turn.imag(),
                                 phasor.real() * turn.imag() + phasor.imag() * turn.real());
            }
        }
    }
}

}  // namespace ampturn::rehearse::record
