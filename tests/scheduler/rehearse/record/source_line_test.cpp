#include "scheduler/rehearse/record/source_line.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace source_line_test {

using namespace ampturn;
using namespace ampturn::rehearse::record;

ChannelBlock silence(std::size_t length) {
    ChannelBlock block;
    block.resize(length);
    for (auto& channel : block.samples) std::fill(channel.begin(), channel.end(), 0.0);
    return block;
}

TEST(AddTone, IsACosineFromItsFirstSampleToItsLastAndNowhereElse) {
    // Closed form: amplitude times cosine. 1301 samples: more than one stretch, and no whole number of lanes.
    ChannelBlock block = silence(1500);
    ChannelAmplitudes amplitude{};
    amplitude[ey] = std::polar(3.0, -0.4);
    amplitude[hz] = std::polar(0.5, 2.0);
    add_tone(block, 7, 1301, 123456.3, 0.137, amplitude);
    for (std::size_t n = 0; n < 1500; ++n) {
        const bool inside = n >= 7 && n < 7 + 1301;
        const double angle = 2 * std::numbers::pi * (0.3 + 0.137 * (static_cast<double>(n) - 7));
        EXPECT_NEAR(block.samples[ey][n], inside ? 3 * std::cos(angle - 0.4) : 0, 1e-9) << n;
        EXPECT_NEAR(block.samples[hz][n], inside ? 0.5 * std::cos(angle + 2) : 0, 1e-9) << n;
        EXPECT_EQ(block.samples[ex][n], 0);
    }
}

TEST(AddSource, GivesLineTimesEnvelope) {
    // Closed form: envelope times cosine.
    ChannelBlock block = silence(4000);
    SourceLine line{.frequency_hz = 100, .amplitude = {}};
    line.amplitude[ex] = std::polar(2.0, 0.5);
    const model::receiver::StepEnvelope envelope{.ramp_cycles = 5, .dwell_cycles = 30, .levels = 5};
    add_source(block, std::span(&line, 1), envelope, 100, 0.013, 8000);
    for (const std::size_t n : {0u, 700u, 1500u, 2900u, 3600u}) {
        const double t = 0.013 + static_cast<double>(n) / 8000;
        const double expected = envelope.at(100 * t) * 2 * std::cos(2 * std::numbers::pi * 100 * t + 0.5);
        EXPECT_NEAR(block.samples[ex][n], expected, 1e-12) << n;
        EXPECT_EQ(block.samples[hy][n], 0);
    }
}

}  // namespace source_line_test
