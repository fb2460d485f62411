#include "scheduler/rehearse/record/mains_wave.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "scheduler/rehearse/record/fourier.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::rehearse::record {
namespace {

using Complex = std::complex<double>;

constexpr std::size_t table_length = 1u << 14;
constexpr std::size_t stretch = 256;  // samples over which the phase runs straight

/// Where in the table so many samples fall: index and the part of the way to the next.
AMPTURN_DISPATCH(places, (double start, double slope, std::size_t count, std::int32_t* index, double* part), {
    for (std::size_t n = 0; n < count; ++n) {
        double cycle = start + slope * static_cast<double>(static_cast<std::int32_t>(n));
        cycle -= static_cast<double>(static_cast<std::int32_t>(cycle));
        const double place = cycle * static_cast<double>(table_length);
        index[n] = static_cast<std::int32_t>(place);
        part[n] = place - static_cast<double>(index[n]);
    }
})

}  // namespace

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
    // E + i H, of real series both: a negative frequency's bin of each is the conjugate of the positive one's.
    Fourier transform(table_length);
    std::fill(transform.spectrum().begin(), transform.spectrum().end(), Complex(0));
    for (int order = 1; order <= mains.orders; ++order) {
        const double frequency_hz = order * mains.frequency_hz;
        if (frequency_hz >= 0.45 * sample_rate_hz) break;
        const double peak = std::sqrt(2.0) * mains.fundamental_b_t *
                            model::receiver::mains_relative_level(order) / model::mu0_h_per_m;
        const auto k = static_cast<std::size_t>(order);
        const Complex h =
            std::polar(peak / 2, angle(3 + k));  // half: the other half is the negative frequency's
        const Complex e = impedance(frequency_hz) * h, i(0, 1);
        transform.spectrum()[k] = e + i * h;
        transform.spectrum()[table_length - k] = std::conj(e) + i * std::conj(h);
    }
    transform.backward();
    table_.resize(2 * (table_length + 1));
    for (std::size_t n = 0; n <= table_length; ++n) {
        const Complex both = transform.series()[n % table_length];
        table_[2 * n] = both.real();
        table_[2 * n + 1] = both.imag();
        crest_e_v_per_m_ = std::max(crest_e_v_per_m_, std::abs(both.real()));
        crest_h_a_per_m_ = std::max(crest_h_a_per_m_, std::abs(both.imag()));
    }
    direction_ = {std::sin(azimuth), -std::cos(azimuth), std::cos(azimuth), std::sin(azimuth)};
}

void MainsWave::along(std::span<double> e, std::span<double> h, double first_s, double sample_rate_hz) const {
    std::array<std::int32_t, stretch> index;
    std::array<double, stretch> part;
    for (std::size_t begin = 0; begin < e.size(); begin += stretch) {
        const std::size_t count = std::min(e.size() - begin, stretch);
        const double start = wander_.cycles(first_s + static_cast<double>(begin) / sample_rate_hz);
        const double stop = wander_.cycles(first_s + static_cast<double>(begin + count) / sample_rate_hz);
        const double slope = (stop - start) / static_cast<double>(count);
        places(start - std::floor(start), slope, count, index.data(), part.data());
        for (std::size_t n = 0; n < count; ++n) {
            const double* pair = table_.data() + 2 * static_cast<std::ptrdiff_t>(index[n]);
            e[begin + n] = pair[0] + part[n] * (pair[2] - pair[0]);
            h[begin + n] = pair[1] + part[n] * (pair[3] - pair[1]);
        }
    }
}

void MainsWave::add(ChannelBlock& block, double first_s, double sample_rate_hz) const {
    if (!any_) return;
    std::array<double, stretch> e, h;
    for (std::size_t begin = 0; begin < block.size(); begin += stretch) {
        const std::size_t count = std::min(block.size() - begin, stretch);
        along(std::span(e).first(count), std::span(h).first(count),
              first_s + static_cast<double>(begin) / sample_rate_hz, sample_rate_hz);
        for (std::size_t c = 0; c < direction_.size(); ++c) {
            double* x = block.samples[c].data() + begin;
            const double* field = c == ex || c == ey ? e.data() : h.data();
            for (std::size_t n = 0; n < count; ++n) x[n] += direction_[c] * field[n];
        }
    }
}

}  // namespace ampturn::rehearse::record
