#include "scheduler/rehearse/record/keyed_carrier.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"
#include "scheduler/rehearse/process/spectra.hpp"

namespace keyed_carrier_test {

using namespace ampturn;
using namespace ampturn::rehearse::process;
using namespace ampturn::rehearse::record;
using Complex = std::complex<double>;

constexpr double rate_hz = 8192, carrier_hz = 1500;
constexpr double level_a_per_m = 1e-9 * 0.01 / model::mu0_h_per_m;  // 0.01 nT rms
const Complex z_ground = std::polar(0.05, 0.7);

plan::Noise noise_with(double half_width_hz, double b_nt = 0.01) {
    plan::Noise noise;
    noise.interferers = {
        {.name = "invented", .frequency_hz = carrier_hz, .half_width_hz = half_width_hz, .b_nt = b_nt}};
    return noise;
}
std::vector<KeyedCarrier> carriers_with(double half_width_hz) {
    return keyed_carriers(
        noise_with(half_width_hz).interferers, [](double) { return z_ground; }, 5, 9);
}

ChannelBlock blocks_of(KeyedCarrierWave& wave, std::size_t length) {
    ChannelBlock block;
    block.resize(length);
    for (auto& channel : block.samples) std::fill(channel.begin(), channel.end(), 0.0);
    wave.add(block);
    return block;
}

TEST(KeyedCarrier, HasTheDensityOfMinimumShiftKeying) {
    // Published density, met by a synthesis in time:
    // Pasupathy (1979) through model/receiver/noise.hpp, against the synthesis. 600 records of 1/8 s: each
    // bin is known to 1/sqrt(600) = 4 %, Hann leaks within 16 Hz, small against the half-width.
    constexpr double half_width_hz = 200;
    constexpr std::size_t length = 1024, records = 600;
    KeyedCarrierWave wave(carriers_with(half_width_hz).front(), rate_hz, 5, 1);
    StepSpectra spectra(rate_hz, window_weights(plan::Window::hann, length), {},
                        StepSpectra::Keep::densities);
    double power = 0;
    for (std::size_t r = 0; r < records; ++r) {
        const ChannelBlock block = blocks_of(wave, length);
        spectra.add({block.samples[ex], block.samples[ey], block.samples[hx], block.samples[hy]});
        for (std::size_t n = 0; n < length; ++n)
            power += (std::pow(block.samples[hx][n], 2) + std::pow(block.samples[hy][n], 2)) /
                     static_cast<double>(length * records);
    }
    EXPECT_NEAR(std::sqrt(power) / level_a_per_m, 1, 0.01);
    const auto x = spectra.density(2), y = spectra.density(3);
    for (const double distance_hz : {-160.0, -104.0, -56.0, 0.0, 48.0, 96.0, 152.0, 400.0}) {
        const auto bin =
            static_cast<std::size_t>(std::lround((carrier_hz + distance_hz) / (rate_hz / length)));
        const double found = x[bin] + y[bin];
        const double at_hz = static_cast<double>(bin) * rate_hz / length - carrier_hz;
        const double expected = level_a_per_m * level_a_per_m *
                                model::receiver::keyed_carrier_density_per_hz(half_width_hz, at_hz);
        EXPECT_NEAR(found / expected, 1, 0.15) << distance_hz;
    }
}

TEST(KeyedCarrier, DensityAddsUpToItsPower) {
    // Closed form: the density's integral and its first zero.
    for (const double half_width_hz : {1.0, 200.0}) {
        double sum = 0;
        const double step_hz = half_width_hz / 1000;
        for (int n = -100'000; n <= 100'000; ++n)  // the tails beyond fall with the fourth power: 1e-7
            sum += step_hz * model::receiver::keyed_carrier_density_per_hz(half_width_hz, n * step_hz);
        EXPECT_NEAR(sum, 1, 1e-5);
        EXPECT_NEAR(
            model::receiver::keyed_carrier_density_per_hz(half_width_hz, half_width_hz) * half_width_hz, 0,
            1e-12);
    }
}

TEST(KeyedCarrier, EnvelopeIsConstantAndEIsCorrelatedToH) {
    // Closed form:
    // Two carriers a quarter period apart would give the envelope; one does: h^2 + (Hilbert of h)^2, here
    // from E, which the ground turns by 0.7 rad: H = A cos p, E = |Z| A cos(p + 0.7).
    KeyedCarrierWave wave(carriers_with(100).front(), rate_hz, 5, 2);
    const ChannelBlock block = blocks_of(wave, 8000);
    for (std::size_t n = 0; n < block.size(); ++n) {
        const double h = std::hypot(block.samples[hx][n], block.samples[hy][n]);
        const double e = std::hypot(block.samples[ex][n], block.samples[ey][n]) / std::abs(z_ground);
        const double sign = block.samples[ex][n] * block.samples[hy][n] >= 0 ? 1 : -1;
        // cos(p + 0.7) = cos p cos 0.7 - sin p sin 0.7.
        const double sine = (h * std::cos(0.7) - sign * e) / std::sin(0.7);
        ASSERT_NEAR(std::hypot(h, sine) / (std::sqrt(2.0) * level_a_per_m), 1, 1e-9);
        EXPECT_NEAR(block.samples[ex][n] * block.samples[hx][n] + block.samples[ey][n] * block.samples[hy][n],
                    0, 1e-12 * level_a_per_m * level_a_per_m);
    }
}

TEST(KeyedCarrier, DoesNotDependOnTheBlocksAndIsAToneUnkeyed) {
    for (const double half_width_hz : {0.0, 3000.0}) {
        KeyedCarrierWave whole(carriers_with(half_width_hz).front(), rate_hz, 5, 3), parts = whole;
        const ChannelBlock at_once = blocks_of(whole, 1000);
        std::size_t done = 0;
        for (const std::size_t length : {1u, 7u, 600u, 392u}) {
            const ChannelBlock part = blocks_of(parts, length);
            for (std::size_t n = 0; n < length; ++n)
                ASSERT_NEAR(part.samples[hx][n], at_once.samples[hx][done + n], 1e-11 * level_a_per_m);
            done += length;
        }
        if (half_width_hz > 0) continue;
        // x[n+1] + x[n-1] = 2 cos(w) x[n], closed form of a tone.
        const double twice = 2 * std::cos(2 * model::pi * carrier_hz / rate_hz);
        for (std::size_t n = 1; n + 1 < 1000; ++n)
            ASSERT_NEAR(at_once.samples[hy][n + 1] + at_once.samples[hy][n - 1],
                        twice * at_once.samples[hy][n], 1e-11 * level_a_per_m);
    }
}

TEST(KeyedCarrier, IsOnlyHeardWhereItsLevelIsKnownAndTheRateReaches) {
    EXPECT_TRUE(keyed_carriers(
                    noise_with(100, 0).interferers, [](double) { return z_ground; }, 5, 9)
                    .empty());
    KeyedCarrierWave wave(carriers_with(100).front(), 3000, 5, 2);
    const ChannelBlock block = blocks_of(wave, 100);
    for (const double x : block.samples[hx]) EXPECT_EQ(x, 0);
}

}  // namespace keyed_carrier_test
