#include "scheduler/rehearse/record/noise_stream.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "scheduler/rehearse/record/fourier.hpp"
#include "scheduler/rehearse/record/unit_gaussians.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::rehearse::record {
namespace {

using Complex = std::complex<double>;

/// Where the values of a block come from, and where the spectra of Hx + i Hy and of i (Ex + i Ey) go: real and
/// imaginary parts in turns.
struct Bins {
    const NoiseShape& shape;
    const float *shared_re, *shared_im, *own_re, *own_im;
    const double* train;
    double *h, *e;
};

// Hx drives -Ey and Hy drives Ex, so that i (Ex + i Ey) is the impedance times Hx + i Hy, and the impedance at negative
// frequencies is the conjugate.
AMPTURN_DISPATCH(colour, (const Bins& bins, std::size_t first, std::size_t last), {
    const double* h = bins.shape.h.data();
    const double* foretold = bins.shape.foretold.data();
    const double* free = bins.shape.free.data();
    const double* impulse = bins.shape.impulse.data();
    const double* z_re = bins.shape.impedance_re_ohm.data();
    const double* z_im = bins.shape.impedance_im_ohm.data();
    for (std::size_t k = first; k < last; ++k) {
        const double g_re = static_cast<double>(bins.shared_re[k]);
        const double g_im = static_cast<double>(bins.shared_im[k]);
        const double t_re = impulse[k] * bins.train[2 * k];
        const double t_im = impulse[k] * bins.train[2 * k + 1];
        bins.h[2 * k] = h[k] * g_re + t_re;
        bins.h[2 * k + 1] = h[k] * g_im + t_im;
        const double n_re = foretold[k] * g_re + t_re;
        const double n_im = foretold[k] * g_im + t_im;
        bins.e[2 * k] = (z_re[k] * n_re - z_im[k] * n_im) + free[k] * static_cast<double>(bins.own_re[k]);
        bins.e[2 * k + 1] = (z_re[k] * n_im + z_im[k] * n_re) + free[k] * static_cast<double>(bins.own_im[k]);
    }
})

AMPTURN_DISPATCH(take_every_second, (const double* from, double sign, std::size_t count, double* to), {
    for (std::size_t n = 0; n < count; ++n) to[n] = sign * from[2 * n];
})

double* parts(std::span<Complex> z) { return reinterpret_cast<double*>(z.data()); }

}  // namespace

DrawnImpulse drawn_impulse(const model::receiver::ImpulseStatistics& statistics,
                           const run::CounterRandom& random, std::uint64_t i) {
    const auto normal = random.normal_pair(2 * i + 1);
    // The second normal value as a direction: its probability is uniform.
    return {.gap = -std::log(random.uniform(2 * i)),
            .height = model::receiver::impulse_height(statistics, normal[0]),
            .azimuth_rad = model::pi * (1 + std::erf(normal[1] / std::sqrt(2.0)))};
}

NoiseShape noise_shape(const Densities& densities, const Impedance& impedance, double sample_rate_hz,
                       std::size_t block_length, const model::receiver::ImpulseStatistics& impulses) {
    NoiseShape shape{.sample_rate_hz = sample_rate_hz,
                     .block_length = block_length,
                     .impulses = impulses,
                     .h = std::vector<double>(block_length),
                     .foretold = std::vector<double>(block_length),
                     .free = std::vector<double>(block_length),
                     .impulse = std::vector<double>(block_length),
                     .impedance_re_ohm = std::vector<double>(block_length),
                     .impedance_im_ohm = std::vector<double>(block_length),
                     .vertical = std::vector<double>(block_length / 2 + 1)};
    const double bin_hz = sample_rate_hz / static_cast<double>(block_length);
    // A bin of density S holds power S df = 2 E|X|^2 in each axis. The series x + i y has E|X + i Y|^2 = 2 E|X|^2 in a
    // bin: X + i Y = root(S df/2) (g1 + i g2).
    const double unit = std::sqrt(bin_hz / 2);
    // A train of lambda impulses a second, of mean square height 1 and random direction, has E|X|^2 = lambda
    // T/2 in each axis; wanted is S df/2.
    const double block_s = static_cast<double>(block_length) / sample_rate_hz;
    const double train = std::sqrt(bin_hz / (impulses.per_second * block_s));
    for (std::size_t k = 1; k < block_length / 2; ++k) {
        const double frequency_hz = static_cast<double>(k) * bin_hz;
        if (frequency_hz < 1) continue;
        const DensityAt density = densities(frequency_hz);
        const Complex z = impedance(frequency_hz);
        const model::receiver::CorrelatedPair pair = model::receiver::correlated_pair(
            density.natural_h * (1 - impulses.power_fraction), density.sensor_h, density.sensor_e, z);
        for (const std::size_t bin : {k, block_length - k}) {
            shape.h[bin] = pair.h * unit;
            shape.foretold[bin] = pair.foretold * unit;
            shape.free[bin] = pair.free * unit;
            shape.impulse[bin] = train * std::sqrt(density.natural_h * impulses.power_fraction);
            shape.impedance_re_ohm[bin] = z.real();
            shape.impedance_im_ohm[bin] = bin == k ? z.imag() : -z.imag();
        }
        shape.vertical[k] = std::sqrt(bin_hz / 4) * std::sqrt(density.sensor_h);
    }
    return shape;
}

struct NoiseStream::Work {
    const NoiseShape& shape;
    std::uint64_t seed, gaussian_stream;
    run::CounterRandom impulses;
    bool with_vertical;
    std::size_t fade_length, hop;
    std::uint64_t block = 0;
    Fourier magnetic, electric;
    std::vector<float> shared_re, shared_im, own_re, own_im;
    std::vector<Complex> no_train;
    std::optional<Fourier> vertical;
    std::vector<double> fade;  // rising
    std::array<std::vector<double>, channel_count> tail;

    Work(const NoiseShape& s, std::uint64_t seed_of_all, std::uint64_t stream, bool with_hz)
        : shape(s),
          seed(seed_of_all),
          gaussian_stream(run::combine(stream, run::stream_of("background"))),
          impulses(seed_of_all, run::combine(stream, run::stream_of("impulses"))),
          with_vertical(with_hz),
          fade_length(s.block_length / 8),
          hop(s.block_length - fade_length),
          magnetic(s.block_length),
          electric(s.block_length),
          shared_re(s.block_length),
          shared_im(s.block_length),
          own_re(s.block_length),
          own_im(s.block_length),
          no_train(s.block_length),
          fade(fade_length) {
        if (with_vertical) vertical.emplace(s.block_length);
        for (std::size_t n = 0; n < fade_length; ++n)
            fade[n] =
                std::sin(0.5 * model::pi * (static_cast<double>(n) + 0.5) / static_cast<double>(fade_length));
        for (auto& channel : tail) channel.resize(fade_length);
        draw();
        keep_tails();
    }

    /// The impulses of a block into the magnetic transform's series; false: there are none.
    bool draw_impulses() {
        const double mean =
            shape.impulses.per_second * static_cast<double>(shape.block_length) / shape.sample_rate_hz;
        const std::span<Complex> series = magnetic.series();
        const std::uint64_t base = block << 24;  // more draws than any block can use
        double place = 0;
        bool any = false;
        for (std::uint64_t i = 0;; ++i) {
            const DrawnImpulse impulse = drawn_impulse(shape.impulses, impulses, base / 2 + i);
            place += impulse.gap / mean;
            if (place >= 1) return any;
            if (!any) std::fill(series.begin(), series.end(), Complex(0));
            any = true;
            series[static_cast<std::size_t>(place * static_cast<double>(shape.block_length))] +=
                std::polar(impulse.height, impulse.azimuth_rad);
        }
    }

    /// One block of every channel: Hx + i Hy into the magnetic series, i (Ex + i Ey) into the electric one.
    void draw() {
        const std::size_t length = shape.block_length;
        const bool any = draw_impulses();
        if (any) magnetic.forward();
        const std::uint64_t first = block * 3 * (length / 2);
        fill_unit_gaussians(seed, gaussian_stream, first, shared_re, shared_im);
        fill_unit_gaussians(seed, gaussian_stream, first + length / 2, own_re, own_im);
        // In place: a bin of the train is read before the bin of H is written over it.
        const Bins bins{shape,
                        shared_re.data(),
                        shared_im.data(),
                        own_re.data(),
                        own_im.data(),
                        any ? parts(magnetic.spectrum()) : parts(no_train),
                        parts(magnetic.spectrum()),
                        parts(electric.spectrum())};
        colour(bins, 0, length);
        magnetic.backward();
        electric.backward();
        if (with_vertical) {
            fill_unit_gaussians(seed, gaussian_stream, first + length, own_re, own_im);
            // Of a real series: a negative frequency's bin is the conjugate of the positive one's.
            const auto spectrum = vertical->spectrum();
            for (std::size_t k = 1; k < length / 2; ++k) {
                spectrum[k] = shape.vertical[k] * Complex(own_re[k], own_im[k]);
                spectrum[length - k] = std::conj(spectrum[k]);
            }
            vertical->backward();
        }
        ++block;
    }

    /// A channel of the block as drawn: every second number from `first`, times the sign.
    struct Drawn {
        const double* first;
        double sign;
    };
    Drawn drawn(std::size_t channel) {
        const double *e = parts(electric.series()), *h = parts(magnetic.series());
        switch (channel) {
            case ex:
                return {e + 1, 1};
            case ey:
                return {e, -1};
            case hx:
                return {h, 1};
            case hy:
                return {h + 1, 1};
            default:
                return {parts(vertical->series()), 1};
        }
    }
    std::size_t channels() const { return with_vertical ? channel_count : channel_count - 1; }

    void keep_tails() {
        for (std::size_t c = 0; c < channels(); ++c) {
            const Drawn from = drawn(c);
            for (std::size_t n = 0; n < fade_length; ++n)
                tail[c][n] = from.sign * from.first[2 * (hop + n)] * fade[fade_length - 1 - n];
        }
    }
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
        double* out = block.samples[c].data();
        const Work::Drawn from = w.drawn(c);
        take_every_second(from.first, from.sign, w.hop, out);
        for (std::size_t n = 0; n < w.fade_length; ++n) out[n] = out[n] * w.fade[n] + w.tail[c][n];
    }
    w.keep_tails();
}

}  // namespace ampturn::rehearse::record
