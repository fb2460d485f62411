#include "scheduler/rehearse/record/mains_wave.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"

namespace mains_wave_test {

using namespace ampturn;
using namespace ampturn::rehearse::record;
using Complex = std::complex<double>;

constexpr double rate_hz = 8192;
Complex ground(double frequency_hz) { return std::polar(0.05, 0.7) * std::sqrt(frequency_hz / 1000); }

TEST(MainsWave, HasTheLevelsOfItsHarmonicsCorrelatedByTheGround) {
    // Closed form: the powers of harmonics add.
    const model::receiver::Mains mains{
        .frequency_hz = 50, .fundamental_b_t = 1e-9, .weak_grid = false, .orders = 40};
    const MainsWave wave(mains, ground, rate_hz, 3, 4);
    ChannelBlock block;
    block.resize(8192 * 20);
    for (auto& channel : block.samples) std::fill(channel.begin(), channel.end(), 0.0);
    wave.add(block, 3600, rate_hz);
    const auto power = [&](std::size_t c) {
        double sum = 0;
        for (const double x : block.samples[c]) sum += x * x / static_cast<double>(block.size());
        return sum;
    };
    double expected_h = 0, expected_e = 0;
    for (int order = 1; order <= 40; ++order) {
        const double h = 1e-9 * model::receiver::mains_relative_level(order) / model::mu0_h_per_m;
        expected_h += h * h;
        expected_e += h * h * std::norm(ground(50.0 * order));
    }
    EXPECT_NEAR((power(hx) + power(hy)) / expected_h, 1, 1e-3);
    EXPECT_NEAR((power(ex) + power(ey)) / expected_e, 1, 1e-3);
}

}  // namespace mains_wave_test
