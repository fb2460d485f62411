#include "scheduler/rehearse/record/noise_stream.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "model/base/constants.hpp"
#include "scheduler/rehearse/process/spectra.hpp"

namespace noise_stream_test {

using namespace ampturn;
using namespace ampturn::rehearse::process;
using namespace ampturn::rehearse::record;
using Complex = std::complex<double>;

constexpr double rate_hz = 8192;
const Complex z_ground = std::polar(0.05, 0.7);

DensityAt rising(double frequency_hz) {
    return {.natural_h = 4e-12 * 100 / frequency_hz, .sensor_h = 1e-12, .sensor_e = 3e-15};
}
Complex ground(double frequency_hz) { return z_ground * std::sqrt(frequency_hz / 1000); }

/// Mean spectra of `records` records of a stream.
StepSpectra spectra_of(NoiseStream& stream, std::size_t record_length, std::size_t records,
                       std::vector<NaturalBand> bands) {
    StepSpectra spectra(rate_hz, window_weights(plan::Window::hann, record_length), std::move(bands),
                        StepSpectra::Keep::densities);
    ChannelBlock block;
    std::array<std::vector<double>, channel_count> held;
    for (std::size_t done = 0; done < records;) {
        stream.next(block);
        for (std::size_t c = 0; c < channel_count; ++c)
            held[c].insert(held[c].end(), block.samples[c].begin(), block.samples[c].end());
        std::size_t used = 0;
        for (; done < records && held[ex].size() - used >= record_length; used += record_length, ++done) {
            const auto part = [&](std::size_t c) { return std::span(held[c]).subspan(used, record_length); };
            spectra.add({part(ex), part(ey), part(hx), part(hy)});
        }
        for (auto& channel : held)
            channel.erase(channel.begin(), channel.begin() + static_cast<std::ptrdiff_t>(used));
    }
    return spectra;
}

TEST(NoiseStream, HasTheDensitiesAskedForAndTiesEToH) {
    const NoiseShape shape = noise_shape(rising, ground, rate_hz, 4096, {});
    NoiseStream stream(shape, 11, 1, false);
    const NaturalBand band = natural_band({.sample_rate_hz = rate_hz,
                                           .record_length = 1024,
                                           .window = plan::Window::hann,
                                           .line_hz = 3900,
                                           .low_hz = 900,
                                           .high_hz = 1100,
                                           .mains_hz = 0,
                                           .weak_grid = false,
                                           .mains_orders = 0});
    constexpr std::size_t records = 1500;
    const StepSpectra spectra = spectra_of(stream, 1024, records, {band});
    // Averages over bins 40 to 400 of 1500 records, a sixth of them independent: the impulses, not the
    // Gaussian part, decide the scatter, some 2 %.
    for (int channel = 0; channel < 4; ++channel) {
        const auto density = spectra.density(channel);
        double ratio = 0;
        for (std::size_t k = 40; k < 400; ++k) {
            const double f = static_cast<double>(k) * rate_hz / 1024;
            const DensityAt d = rising(f);
            const double expected =
                channel < 2 ? std::norm(ground(f)) * d.natural_h + d.sensor_e : d.natural_h + d.sensor_h;
            ratio += density[k] / expected / 360;
        }
        EXPECT_NEAR(ratio, 1, 0.04) << channel;
    }
    // The natural impedance between its two bounds, each by a known factor.
    const DensityAt at = rising(1000);
    const double truth = std::abs(ground(1000));
    const auto low = fit_transfer(grouped(referenced_to_h(spectra.band_pieces(0)), 50), {.robust = false});
    EXPECT_NEAR(std::abs(low.impedance.xy_ohm) / truth, 1 / (1 + at.sensor_h / at.natural_h), 0.06);
    EXPECT_NEAR(std::arg(low.impedance.xy_ohm), std::arg(z_ground), 0.1);
    const auto high = fit_transfer(grouped(referenced_to_e(spectra.band_pieces(0)), 50), {.robust = false});
    EXPECT_NEAR(std::abs(high.impedance.xy_ohm) / truth /
                    (1 + at.sensor_e / (std::norm(ground(1000)) * at.natural_h)),
                1, 0.06);
}

TEST(NoiseStream, IsEvenAcrossJoinsAndImpulsive) {
    // Closed form: equal-power fades leave the power as it is.
    // Power of the samples inside the cross-fade against the rest: equal-power fades leave no step. Kurtosis
    // of the natural field alone is well above the Gaussian 3.
    const auto natural_only = [](double f) { return DensityAt{rising(f).natural_h, 0, 0}; };
    const NoiseShape shape = noise_shape(natural_only, ground, rate_hz, 1024, {});
    NoiseStream stream(shape, 5, 2, false);
    ChannelBlock block;
    double faded = 0, rest = 0, second = 0, fourth = 0, count = 0;
    for (int i = 0; i < 3000; ++i) {
        stream.next(block);
        for (std::size_t n = 0; n < block.size(); ++n) {
            const double x2 = std::pow(block.samples[hx][n], 2);
            (n < 128 ? faded : rest) += x2 / (n < 128 ? 128.0 : 768.0) / 3000;
            second += x2;
            fourth += x2 * x2;
            count += 1;
        }
    }
    EXPECT_NEAR(faded / rest, 1, 0.08);
    EXPECT_GT(fourth / count / std::pow(second / count, 2), 5);
}

TEST(NoiseStream, IsAFunctionOfSeedAndStream) {
    const NoiseShape shape = noise_shape(rising, ground, rate_hz, 256, {});
    const auto first = [&](std::uint64_t seed, std::uint64_t stream_number) {
        NoiseStream stream(shape, seed, stream_number, true);
        ChannelBlock block;
        stream.next(block);
        stream.next(block);
        return block.samples;
    };
    EXPECT_EQ(first(1, 2), first(1, 2));
    EXPECT_NE(first(1, 2), first(1, 3));
    EXPECT_NE(first(1, 2), first(2, 2));
}

}  // namespace noise_stream_test
