#include "scheduler/rehearse/process/line.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

#include "model/receiver/window.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/run/counter_random.hpp"

namespace line_test {

using namespace ampturn;
using namespace ampturn::rehearse::process;
using Complex = std::complex<double>;

constexpr double two_pi = 2 * std::numbers::pi;

std::vector<double> tone(double frequency_hz, double rate_hz, std::size_t length, double start_s, Complex a) {
    std::vector<double> x(length);
    for (std::size_t n = 0; n < length; ++n)
        x[n] = std::real(
            a * std::polar(1.0, two_pi * frequency_hz * (start_s + static_cast<double>(n) / rate_hz)));
    return x;
}

TEST(LineDetector, ReadsAmplitudeAndPhaseOffAndOnTheBins) {
    const Complex a = std::polar(3.0, 0.7);
    // 100 Hz is a bin of 1 s; 104.37 Hz is not: what is left is the window's image of the negative frequency.
    for (const double frequency_hz : {100.0, 104.37}) {
        const LineDetector detector(frequency_hz, 1000, window_weights(plan::Window::hann, 1000));
        const std::vector<double> x = tone(frequency_hz, 1000, 1000, 5.25, a), none(1000);
        const auto read = detector.amplitudes({x, none, none, x}, 5.25);
        for (const std::size_t channel : {0u, 3u})
            EXPECT_LT(std::abs(read[channel] - a), frequency_hz == 100 ? 1e-11 : 1e-6);
        EXPECT_EQ(read[1], 0.0);
    }
}

TEST(LineDetector, NoiseIsTheBandwidthFormula) {
    // Closed form, met by Monte Carlo:
    // E|n|^2 = 2 S b/T; tests/reference/rig/signal.json, conventions "coherent". 2000 records give the
    // variance to 1/sqrt(2000) = 2.2 %; the limit is three times that.
    constexpr double rate_hz = 1000, sigma = 0.3;
    constexpr std::size_t length = 256, records = 2000;
    const double density = 2 * sigma * sigma / rate_hz;
    for (const auto window : {plan::Window::rectangular, plan::Window::hann, plan::Window::blackman_harris}) {
        const run::CounterRandom random(3, static_cast<std::uint64_t>(window.kind));
        const LineDetector detector(123.4, rate_hz, window_weights(window, length));
        double power = 0;
        std::vector<double> x(length);
        for (std::size_t k = 0; k < records; ++k) {
            for (std::size_t n = 0; n < length; ++n) x[n] = sigma * random.normal(k * length + n);
            power += std::norm(detector.amplitudes({x, x, x, x}, 0)[2]);
        }
        const double enbw_bins = model::receiver::noise_bandwidth_bins(plan::window_of(window));
        const double expected = 2 * density * enbw_bins / (static_cast<double>(length) / rate_hz);
        EXPECT_NEAR(power / records / expected, 1, 0.067);
    }
}

TEST(LineDetector, RefusesLinesBeyondHalfTheRate) {
    EXPECT_THROW(LineDetector(500, 1000, window_weights(plan::Window::hann, 100)), std::invalid_argument);
    EXPECT_THROW(LineDetector(0, 1000, window_weights(plan::Window::hann, 100)), std::invalid_argument);
    EXPECT_THROW(LineDetector(10, 1000, window_weights(plan::Window::hann, 1)), std::invalid_argument);
}

TEST(ClockError, IsReadFromTheTurningOfTheLines) {
    // Definition: the clock error the lines were made with.
    const run::CounterRandom random(5, 9);
    const double truth = 2.37e-6;
    LineRecords low, high;
    for (int k = 0; k < 20; ++k) {
        const auto record = [&](double frequency_hz, int which) {
            const double t = 100 + 0.5 * k;
            const auto noise = random.normal_pair(static_cast<std::uint64_t>(2 * k + which));
            const Complex x = std::polar(1.0, 0.3 + two_pi * frequency_hz * truth * t);
            return LineRecord{
                .middle_s = t, .ex = 2.0 * x, .ey = 0.1 * Complex(noise[0], noise[1]), .hx = 0, .hy = x};
        };
        low.push_back(record(1000, 0));
        high.push_back(record(30000, 1));
    }
    const TimedLines lines[] = {{1000, &low}, {30000, &high}};
    // 0.05 ppm of 30 kHz over 10 s is 0.015 cycles.
    EXPECT_NEAR(clock_error_from_lines(lines, 20e-6), truth, 5e-8);
    undo_clock_error(high, 30000, truth);
    EXPECT_NEAR(std::arg(high.front().hy), std::arg(high.back().hy), 1e-6);
}

}  // namespace line_test
