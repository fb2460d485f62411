#include "model/receiver/receiver_signal.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <stdexcept>

#include "model/ground/plane_wave_noise.hpp"

namespace receiver_signal_test {

using namespace ampturn::model::ground;
using namespace ampturn::model::receiver;
using Complex = std::complex<double>;

TEST(CorrelatedPair, HasTheDensitiesAskedFor) {
    // Definition of the pair: the variances and the covariance asked for.
    const Complex z = std::polar(0.7, 0.6);
    for (const double natural : {0.0, 1e-3, 4.0, 1e4}) {
        const double sensor_h = 0.3, sensor_e = 0.05;
        const CorrelatedPair pair = correlated_pair(natural, sensor_h, sensor_e, z);
        const double scale = natural + 1;
        EXPECT_NEAR(pair.h * pair.h, natural + sensor_h, 1e-12 * scale);
        EXPECT_NEAR(std::norm(z * pair.foretold) + pair.free * pair.free, std::norm(z) * natural + sensor_e,
                    1e-12 * scale);
        EXPECT_LT(std::abs(z * pair.foretold * pair.h - z * natural), 1e-12 * scale);
    }
    EXPECT_EQ(correlated_pair(0, 0, 4, z).free, 2);
}

TEST(ImpulseHeight, HasMeanSquareOne) {
    // Closed form of the log-normal; 200 000 draws of exp(2 s g) with s = 0.8 scatter by exp(4 s^2)/N.
    const ImpulseStatistics statistics;
    std::mt19937 random(2);
    std::normal_distribution<double> normal;
    double sum = 0;
    constexpr int draws = 200000;
    for (int i = 0; i < draws; ++i) sum += std::pow(impulse_height(statistics, normal(random)), 2) / draws;
    EXPECT_NEAR(sum, 1, 0.05);
}

TEST(MainsWander, CyclesAreTheIntegralOfFrequencyAndStayInsideTheBand) {
    // Definition: the frequency is a sum of three sines, of periods 37, 113 and 311 s; the cycles' derivative.
    const MainsWander wander{.nominal_hz = 50, .half_width_hz = 0.1, .phase_rad = {0.3, 2.0, 5.1}};
    const auto sine = [](double t, double period_s, double phase_rad) {
        return std::sin(2 * std::numbers::pi * t / period_s + phase_rad);
    };
    EXPECT_EQ(wander.cycles(0), 0);
    double widest = 0;
    for (double t = 0; t < 3600; t += 0.7) {
        const double frequency_hz = 50 + 0.1 / 3 * (sine(t, 37, 0.3) + sine(t, 113, 2.0) + sine(t, 311, 5.1));
        EXPECT_NEAR((wander.cycles(t + 1e-3) - wander.cycles(t - 1e-3)) / 2e-3, frequency_hz, 1e-6);
        widest = std::max(widest, std::abs(frequency_hz - 50));
    }
    EXPECT_LE(widest, 0.1);
    EXPECT_GT(widest, 0.05);
}

TEST(StepEnvelope, StepsUpAndDownByWholeCycles) {
    // Definition: one of ramp_cycles + 1 equal levels a cycle.
    const StepEnvelope envelope{.ramp_cycles = 4, .dwell_cycles = 10, .levels = 4};
    EXPECT_EQ(envelope.at(-0.1), 0);
    EXPECT_DOUBLE_EQ(envelope.at(0.0), 0.2);
    EXPECT_DOUBLE_EQ(envelope.at(0.99), 0.2);
    EXPECT_DOUBLE_EQ(envelope.at(3.5), 0.8);
    EXPECT_EQ(envelope.at(4.0), 1);
    EXPECT_EQ(envelope.at(13.9), 1);
    EXPECT_DOUBLE_EQ(envelope.at(14.0), 0.8);
    EXPECT_NEAR(envelope.at(17.9), 0.2, 1e-15);
    EXPECT_NEAR(envelope.at(18.0), 0, 1e-15);
    // Definition, as the unit's core has it: level n of 3 in 7 cycles ends at cycle 7 n/3, whole.
    const StepEnvelope uneven{.ramp_cycles = 7, .dwell_cycles = 10, .levels = 3};
    for (const auto& [cycle, level] : {std::pair{1.9, 1},
                                       {2.0, 2},
                                       {3.9, 2},
                                       {4.0, 3},
                                       {6.9, 3},
                                       {7.0, 4},
                                       {17.0, 3},
                                       {19.0, 2},
                                       {23.9, 1}})
        EXPECT_DOUBLE_EQ(uneven.at(cycle), level / 4.0) << cycle;
    EXPECT_EQ(uneven.at(24), 0);
    EXPECT_EQ(StepEnvelope({.ramp_cycles = 0, .dwell_cycles = 2, .levels = 0}).at(0), 1);
}

TEST(Adc, RoundsToStepsAndHoldsAtItsEnds) {
    // Definition of a converter of 8 bits.
    const Adc converter = adc(1, 8, 1);
    EXPECT_DOUBLE_EQ(converter.step, 2.0 / 256);
    EXPECT_DOUBLE_EQ(converter.quantized(0.1), std::round(0.1 * 128) / 128);
    EXPECT_EQ(converter.quantized(1.5), 1);
    EXPECT_TRUE(converter.clips(-1.01));
    EXPECT_FALSE(converter.clips(1));
    EXPECT_THROW(adc(0, 24, 1), std::invalid_argument);
    EXPECT_THROW(adc(1, 40, 1), std::invalid_argument);
}

TEST(Adc, RoundingNoiseIsBennetts) {
    // Published and closed form:
    // Bennett (1948): variance step^2/12; after decimating by 16 a sixteenth of it is left.
    std::mt19937 random(3);
    std::normal_distribution<double> normal;
    for (const double decimation : {1.0, 16.0}) {
        const Adc converter = adc(1, 10, decimation);
        double sum = 0;
        constexpr int draws = 40000;
        for (int i = 0; i < draws; ++i) {
            const double x = 0.1 * normal(random);
            sum += std::pow(converter.quantized(x) - x, 2) / draws;
        }
        EXPECT_NEAR(sum / (std::pow(2.0 / 1024, 2) / 12 / decimation), 1, 0.03);
    }
}

TEST(PlaneNoise, CancelsInTheFarFieldOnly) {
    // Identity in the far field; independent in the near field: Monte Carlo against first-order variance.
    const Complex z = std::polar(2.0, 0.8);
    const auto far = [&](double azimuth, Complex impedance) {
        const Complex hx = std::cos(azimuth), hy = std::sin(azimuth);
        return HorizontalFields{impedance * hy, -impedance * hx, hx, hy};
    };
    const HorizontalVariance sensors{1e-6, 1e-6, 1e-6, 1e-6};
    const PlaneNoise plane{0.01, 0.01};
    const auto alone = estimate_tensor(far(0.2, z), far(1.6, z), sensors, sensors);
    const auto correlated =
        estimate_tensor_in_plane_noise(far(0.2, z), far(1.6, z), sensors, sensors, plane, z);
    EXPECT_NEAR(correlated.variance.xy / alone.variance.xy, 1, 1e-9);
    // Near field: Monte Carlo over the plane wave's field; 3000 draws give a variance to 2.6 %.
    const Complex near_z = 1.3 * z * std::polar(1.0, 0.4);
    const auto a = far(0.2, near_z), b = far(1.6, near_z);
    const auto predicted = estimate_tensor_in_plane_noise(a, b, {}, {}, plane, z);
    std::mt19937 random(5);
    std::normal_distribution<double> normal;
    double xy = 0, yx = 0;
    constexpr int draws = 3000;
    for (int i = 0; i < draws; ++i) {
        const auto noisy = [&](HorizontalFields f) {
            const double s = std::sqrt(0.01 / 2);
            const Complex hx(s * normal(random), s * normal(random)),
                hy(s * normal(random), s * normal(random));
            f.hx_a_per_m += hx;
            f.hy_a_per_m += hy;
            f.ex_v_per_m += z * hy;
            f.ey_v_per_m -= z * hx;
            return f;
        };
        const auto t = estimate_tensor(noisy(a), noisy(b), {}, {});
        xy += std::norm(t.impedance.xy_ohm - near_z) / draws;
        yx += std::norm(t.impedance.yx_ohm + near_z) / draws;
    }
    EXPECT_NEAR(std::sqrt(xy / predicted.variance.xy), 1, 0.06);
    EXPECT_NEAR(std::sqrt(yx / predicted.variance.yx), 1, 0.06);
}

}  // namespace receiver_signal_test
