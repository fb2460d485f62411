#include <gtest/gtest.h>

#include <cmath>
#include <future>

#include "model/base/constants.hpp"
#include "model/ground/plane_wave_noise.hpp"
#include "scheduler/rehearse/process/step_processor.hpp"
#include "scheduler/run/counter_random.hpp"

namespace error_bar_test {

using namespace ampturn;
using namespace ampturn::rehearse::process;
using namespace ampturn::rehearse::record;
using Complex = std::complex<double>;

// One station and one frequency, end to end and many times over: synthesised records with impulsive natural field,
// mains, sensor noise, converter and clock error, processed as a crew would, against the bars that planning predicts.
constexpr double line_hz = 1011, dwell_s = 2.5;
const Complex z_plane = std::polar(0.8, 0.75);

Complex ground(double frequency_hz) { return z_plane * std::sqrt(frequency_hz / line_hz); }
DensityAt densities(double frequency_hz) {
    return {.natural_h = 4e-14 * line_hz / frequency_hz, .sensor_h = 1e-14, .sensor_e = 8e-15};
}

plan::Receiver receiver() {
    plan::Receiver r;
    r.sample_rate_hz = 32768;
    r.record_length = 4096;
    r.window = plan::Window::hann;
    return r;
}

/// Fields of a source whose tensor is z_source, not the plane wave's.
std::array<Complex, channel_count> source(double azimuth, double h, Complex z_source) {
    return {z_source * h * std::sin(azimuth), -z_source * h * std::cos(azimuth),
            Complex(h * std::cos(azimuth)), Complex(h * std::sin(azimuth)), 0};
}

TransferFit measure(std::uint64_t seed, Complex z_source) {
    const ampturn::setup::Sampling sampling = ampturn::setup::sampling_for(receiver(), line_hz, dwell_s);
    static const NoiseShape noise = noise_shape(densities, ground, sampling.sample_rate_hz, 4096, {});
    const MainsWave mains({.frequency_hz = 50, .fundamental_b_t = 0.2e-9, .weak_grid = false, .orders = 40},
                          ground, sampling.sample_rate_hz, seed, 77);
    const Surroundings surroundings{.noise = &noise,
                                    .mains = &mains,
                                    .adc_e = model::receiver::adc(0.02, 24, sampling.decimation),
                                    .adc_h = model::receiver::adc(0.08, 24, sampling.decimation),
                                    .with_vertical = false,
                                    .seed = seed};
    LineRecords lines[2];
    for (std::size_t p = 0; p < 2; ++p) {
        StepRecording step{
            .sampling = sampling,
            .frequency_hz = line_hz,
            .start_s = 3600 + 10.0 * static_cast<double>(p),
            .ramp_s = 10 / line_hz,
            .dwell_s = dwell_s,
            .envelope = {10, dwell_s * line_hz},
            .lines = {{line_hz * (1 + 2e-6), source(0.3 + 1.4 * static_cast<double>(p), 2e-6, z_source)}},
            .stream = p};
        StepProcessor processor(step, plan::Window::hann, {}, StepSpectra::Keep::bands_only);
        synthesise(step, surroundings, [&](const ChannelBlock& b, std::size_t n) { processor.add(b, n); });
        lines[p] = processor.lines();
    }
    return fit_transfer(line_cross_spectra(lines[0], lines[1]), {});
}

model::ground::TensorEstimate predicted(Complex z_source) {
    const auto horizontal = [&](double azimuth) {
        const auto f = source(azimuth, 2e-6, z_source);
        return model::ground::HorizontalFields{f[ex], f[ey], f[hx], f[hy]};
    };
    const DensityAt d = densities(line_hz);
    const double per_density = 2 * 1.5 / dwell_s;  // 2 S b/T, Hann
    const model::ground::HorizontalVariance sensors{per_density * d.sensor_e, per_density * d.sensor_e,
                                                    per_density * d.sensor_h, per_density * d.sensor_h};
    return model::ground::estimate_tensor_in_plane_noise(
        horizontal(0.3), horizontal(1.7), sensors, sensors,
        {per_density * d.natural_h, per_density * d.natural_h}, z_plane);
}

struct Tally {
    double scatter_xy = 0, scatter_yx = 0, jackknife_xy = 0, jackknife_yx = 0;
    int inside_1 = 0, inside_2 = 0, bars = 0;
};

Tally tally(Complex z_source, std::uint64_t first_seed, std::uint64_t last_seed) {
    Tally t;
    for (std::uint64_t seed = first_seed; seed < last_seed; ++seed) {
        const TransferFit fit = measure(seed, z_source);
        t.scatter_xy += std::norm(fit.impedance.xy_ohm - z_source);
        t.scatter_yx += std::norm(fit.impedance.yx_ohm + z_source);
        t.jackknife_xy += fit.variance.xy;
        t.jackknife_yx += fit.variance.yx;
        const auto count = [&](Complex z, double variance, Complex truth) {
            const double s = std::sqrt(variance) / std::abs(z);
            const double ln_rho = std::abs(std::log(std::norm(z) / std::norm(truth))) / (std::sqrt(2.0) * s);
            const double phase = std::abs(std::arg(z / truth)) / (s / std::sqrt(2.0));
            for (const double x : {ln_rho, phase}) {
                t.inside_1 += x < 1 ? 1 : 0;
                t.inside_2 += x < 1.96 ? 1 : 0;
                ++t.bars;
            }
        };
        count(fit.impedance.xy_ohm, fit.variance.xy, z_source);
        count(-fit.impedance.yx_ohm, fit.variance.yx, z_source);
    }
    return t;
}

void check(Complex z_source) {
    constexpr std::uint64_t seeds = 240;
    auto half = std::async(std::launch::async, tally, z_source, 1, 1 + seeds / 2);
    Tally t = tally(z_source, 1 + seeds / 2, 1 + seeds);
    const Tally other = half.get();
    const auto expected = predicted(z_source).variance;
    // 240 draws of a complex number: its standard deviation is known to 1/sqrt(4 * 240) = 3.2 %.
    const auto rms = [](double x, double y) { return std::sqrt((x + y) / static_cast<double>(seeds)); };
    EXPECT_NEAR(rms(t.scatter_xy, other.scatter_xy) / std::sqrt(expected.xy), 1, 0.2);
    EXPECT_NEAR(rms(t.scatter_yx, other.scatter_yx) / std::sqrt(expected.yx), 1, 0.2);
    EXPECT_NEAR(rms(t.jackknife_xy, other.jackknife_xy) / std::sqrt(expected.xy), 1, 0.2);
    EXPECT_NEAR(rms(t.jackknife_yx, other.jackknife_yx) / std::sqrt(expected.yx), 1, 0.2);
    // Normal distribution: 68.3 % and 95 %. 960 bars, binomial sd 1.5 % and 0.7 %; the jackknife's own
    // scatter (some 30 pieces) takes about 1 % off.
    const double bars = t.bars + other.bars;
    EXPECT_NEAR((t.inside_1 + other.inside_1) / bars, 0.683, 0.05);
    EXPECT_NEAR((t.inside_2 + other.inside_2) / bars, 0.950, 0.03);
}

TEST(ErrorBars, CoverTheTruthInTheFarField) { check(z_plane); }
TEST(ErrorBars, CoverTheTruthInTheNearField) { check(1.5 * z_plane * std::polar(1.0, 0.3)); }

}  // namespace error_bar_test
