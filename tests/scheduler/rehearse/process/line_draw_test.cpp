#include "scheduler/rehearse/process/line_draw.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "model/base/constants.hpp"
#include "scheduler/rehearse/process/step_processor.hpp"

namespace line_draw_test {

using namespace ampturn;
using namespace ampturn::rehearse::process;
using namespace ampturn::rehearse::record;
using Complex = std::complex<double>;

// A step synthesised sample by sample and processed, against the same step's lines drawn without samples.
constexpr double line_hz = 1011;

Complex ground(double frequency_hz) { return std::polar(0.8, 0.75) * std::sqrt(frequency_hz / line_hz); }

plan::Receiver receiver(plan::Window window) {
    plan::Receiver r;
    r.sample_rate_hz = 32768;
    r.record_length = 4096;
    r.window = window;
    return r;
}

struct Bench {
    plan::Receiver receiver;
    setup::Sampling sampling;
    Densities densities;
    NoiseShape shape;
    MainsWave mains;
    std::vector<KeyedCarrier> carriers;
    int adc_bits;

    Bench(plan::Window window, double dwell_s, const Densities& of, double mains_t, double carrier_nt,
          int bits)
        : receiver(line_draw_test::receiver(window)),
          sampling(setup::sampling_for(receiver, line_hz, dwell_s)),
          densities(of),
          shape(noise_shape(of, ground, sampling.sample_rate_hz, 2048, {})),
          mains({.frequency_hz = 50, .fundamental_b_t = mains_t, .weak_grid = false, .orders = 40}, ground,
                sampling.sample_rate_hz, 1, 77),
          adc_bits(bits) {
        plan::Noise noise;
        noise.interferers = {
            {.name = "invented, keyed", .frequency_hz = 1100, .half_width_hz = 60, .b_nt = carrier_nt},
            {.name = "invented, steady", .frequency_hz = 940, .half_width_hz = 0, .b_nt = carrier_nt}};
        carriers = keyed_carriers(noise.interferers, ground, 1, 9);
    }

    StepRecording step(std::uint64_t stream, double dwell_s) const {
        StepRecording step{.sampling = sampling,
                           .frequency_hz = line_hz,
                           .start_s = 3600 + 10.0 * static_cast<double>(stream),
                           .ramp_s = 10 / line_hz,
                           .dwell_s = dwell_s,
                           .envelope = {10, std::round(dwell_s * line_hz), 10},
                           .lines = {},
                           .stream = stream};
        for (const int order : {1, 3}) {
            SourceLine line{.frequency_hz = order * line_hz * (1 + 3e-5), .amplitude = {}};
            for (std::size_t c = 0; c < 4; ++c)
                line.amplitude[c] =
                    std::polar(c < 2 ? 2e-6 : 3e-6, 0.4 * static_cast<double>(c)) / double(order);
            step.lines.push_back(line);
        }
        return step;
    }

    model::receiver::Adc adc_e() const { return model::receiver::adc(0.02, adc_bits, 1); }
    model::receiver::Adc adc_h() const { return model::receiver::adc(0.08, adc_bits, 1); }

    LineRecords synthesised(const StepRecording& step, std::uint64_t seed) const {
        const Surroundings around{.noise = &shape,
                                  .mains = &mains,
                                  .carriers = carriers,
                                  .adc_e = adc_e(),
                                  .adc_h = adc_h(),
                                  .with_vertical = false,
                                  .seed = seed};
        StepProcessor processor(step, receiver.window, {}, StepSpectra::Keep::bands_only);
        synthesise(step, around, [&](const ChannelBlock& b, std::size_t n) { processor.add(b, n); });
        return processor.lines();
    }
    LineRecords drawn(const StepRecording& step, std::uint64_t seed) const {
        const std::vector<double> source_hz{step.lines[0].frequency_hz, step.lines[1].frequency_hz};
        return LineDraw(line_hz, sampling, receiver.window, source_hz)
            .draw(step, {.density = densities(line_hz),
                         .impedance_ohm = ground(line_hz),
                         .impulses = {},
                         .mains = &mains,
                         .carriers = carriers,
                         .adc_e = adc_e(),
                         .adc_h = adc_h(),
                         .seed = seed});
    }
};

std::array<Complex, 4> channels(const LineRecord& r) { return {r.ex, r.ey, r.hx, r.hy}; }

TEST(LineDraw, IsTheSynthesisWhereThereIsNoNoise) {
    // Independent: the step's samples, read by the detector. Source with a clock error, mains, interferers; the dwell ends
    // a little before the last record does, so that it reaches into the ramp.
    for (const auto kind : {plan::Window::hann, plan::Window::rectangular}) {
        const double dwell_s = 16 * 2048 / 16384.0 - 2e-5;
        const Bench bench(
            kind, dwell_s,
            [](double) {
                return DensityAt{0, 0, 0};
            },
            0.2e-9, 0.01, 32);
        const StepRecording step = bench.step(3, dwell_s);
        const LineRecords expected = bench.synthesised(step, 1), found = bench.drawn(step, 1);
        ASSERT_EQ(found.size(), expected.size());
        ASSERT_GE(found.size(), 8u);
        for (std::size_t r = 0; r < found.size(); ++r) {
            EXPECT_EQ(found[r].middle_s, expected[r].middle_s);
            // The mains' phase runs straight over 256 samples, counted from other starts: some millionths of the mains.
            for (std::size_t c = 0; c < 4; ++c)
                EXPECT_LT(std::abs(channels(found[r])[c] - channels(expected[r])[c]),
                          3e-6 * (c < 2 ? bench.mains.crest_e_v_per_m() : bench.mains.crest_h_a_per_m()))
                    << r << " " << c;
        }
    }
}

/// What a record has beyond the source, the mains and the interferers, in units of its planned deviation.
using Noise = std::vector<std::array<Complex, 4>>;

Noise noise_of(const Bench& bench, bool synthesised, std::uint64_t first_seed, std::uint64_t seeds,
               double dwell_s) {
    const Bench quiet(
        bench.receiver.window, dwell_s,
        [](double) {
            return DensityAt{0, 0, 0};
        },
        0.2e-9, 0.01, 32);
    Noise noise;
    for (std::uint64_t seed = first_seed; seed < first_seed + seeds; ++seed) {
        const StepRecording step = bench.step(seed, dwell_s);
        const LineRecords still = quiet.drawn(step, seed);
        const LineRecords lines = synthesised ? bench.synthesised(step, seed) : bench.drawn(step, seed);
        for (std::size_t r = 0; r < lines.size(); ++r) {
            noise.emplace_back();
            for (std::size_t c = 0; c < 4; ++c)
                noise.back()[c] = channels(lines[r])[c] - channels(still[r])[c];
        }
    }
    return noise;
}

/// Largest distance of the distributions of two samples (Kolmogorov and Smirnov).
double distance(std::vector<double> a, std::vector<double> b) {
    std::sort(a.begin(), a.end());
    std::sort(b.begin(), b.end());
    double largest = 0;
    for (std::size_t i = 0, j = 0; i < a.size() && j < b.size();) {
        if (a[i] <= b[j])
            ++i;
        else
            ++j;
        largest = std::max(largest, std::abs(static_cast<double>(i) / static_cast<double>(a.size()) -
                                             static_cast<double>(j) / static_cast<double>(b.size())));
    }
    return largest;
}

void compare(const Bench& bench, double dwell_s) {
    // Independent: the same steps synthesised and read. The statistic of two samples of n each stays below 1.95 root(2/n) in
    // 999 of 1000 cases (Smirnov 1948; from memory).
    constexpr std::uint64_t seeds = 150;
    const Noise a = noise_of(bench, true, 1, seeds, dwell_s),
                b = noise_of(bench, false, 1000, seeds, dwell_s);
    ASSERT_EQ(a.size(), b.size());
    ASSERT_GE(a.size(), 1200u);
    const auto n = static_cast<double>(a.size());
    const double limit = 1.95 * std::sqrt(2 / n);
    const auto values = [](const Noise& noise, auto of) {
        std::vector<double> list;
        for (const auto& record : noise) list.push_back(of(record));
        return list;
    };
    for (std::size_t c = 0; c < 4; ++c) {
        const auto real = [c](const auto& r) { return r[c].real(); };
        const auto imaginary = [c](const auto& r) { return r[c].imag(); };
        const auto power = [c](const auto& r) { return std::norm(r[c]); };
        EXPECT_LT(distance(values(a, real), values(b, real)), limit) << c;
        EXPECT_LT(distance(values(a, imaginary), values(b, imaginary)), limit) << c;
        EXPECT_LT(distance(values(a, power), values(b, power)), limit) << c;
    }
    // How E and H go together: products of all pairs of channels, real and imaginary part.
    for (std::size_t c = 0; c < 4; ++c)
        for (std::size_t d = 0; d < c; ++d) {
            const auto real = [=](const auto& r) { return (r[c] * std::conj(r[d])).real(); };
            const auto imaginary = [=](const auto& r) { return (r[c] * std::conj(r[d])).imag(); };
            EXPECT_LT(distance(values(a, real), values(b, real)), limit) << c << d;
            EXPECT_LT(distance(values(a, imaginary), values(b, imaginary)), limit) << c << d;
        }
    // Neighbouring records share next to nothing in the synthesis either: below 4 standard deviations of chance, twice that
    // for the heavy tails of the impulses.
    for (std::size_t c = 0; c < 4; ++c) {
        Complex product = 0;
        double power = 0;
        for (std::size_t r = 0; r + 1 < a.size(); ++r) {
            product += a[r][c] * std::conj(a[r + 1][c]);
            power += std::norm(a[r][c]);
        }
        EXPECT_LT(std::abs(product) / power, 8 / std::sqrt(n)) << c;
    }
}

TEST(LineDraw, HasTheDistributionOfTheSynthesis) {
    const auto densities = [](double f) {
        return DensityAt{.natural_h = 4e-14 * line_hz / f, .sensor_h = 1e-14, .sensor_e = 8e-15};
    };
    for (const auto window : {plan::Window::hann, plan::Window::rectangular}) {
        SCOPED_TRACE(window == plan::Window::hann ? "Hann" : "rectangular");
        compare(Bench(window, 2.5, densities, 0.2e-9, 0.01, 24), 2.5);
    }
}

TEST(LineDraw, HasTheDistributionOfTheSynthesisWhereTheConverterIsCoarse) {
    // The steps of 14 bits are as large as what there is of sensors.
    const auto densities = [](double f) {
        return DensityAt{.natural_h = 4e-14 * line_hz / f, .sensor_h = 1e-14, .sensor_e = 8e-15};
    };
    compare(Bench(plan::Window::hann, 2.5, densities, 0.2e-9, 0.01, 14), 2.5);
}

TEST(LineDraw, RefusesAStepThatItWasNotMadeFor) {
    const Bench bench(
        plan::Window::hann, 2.5,
        [](double) {
            return DensityAt{0, 0, 0};
        },
        0, 0, 24);
    StepRecording step = bench.step(1, 2.5);
    const LineDraw draw(line_hz, bench.sampling, plan::Window::hann, std::vector<double>{line_hz});
    EXPECT_THROW(draw.draw(step, {.density = {},
                                  .impedance_ohm = 1,
                                  .impulses = {},
                                  .mains = &bench.mains,
                                  .carriers = {},
                                  .adc_e = bench.adc_e(),
                                  .adc_h = bench.adc_h(),
                                  .seed = 1}),
                 std::invalid_argument);
}

}  // namespace line_draw_test
