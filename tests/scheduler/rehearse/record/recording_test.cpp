#include "scheduler/rehearse/record/recording.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "scheduler/rehearse/process/step_processor.hpp"
#include "scheduler/rehearse/record/recording_file.hpp"

namespace recording_test {

using namespace ampturn;
using namespace ampturn::rehearse::process;
using namespace ampturn::rehearse::record;
using Complex = std::complex<double>;

plan::Receiver receiver() {
    plan::Receiver r;
    r.sample_rate_hz = 102400;
    r.record_length = 102400;
    return r;
}

TEST(Sampling, HalvesTheRateDownToSevenTimesTheLine) {
    // 7 * 425 = 2975: 3200 Hz is the last halving of 102400 above it; ten seconds hold ten records of 1 s.
    const ampturn::setup::Sampling low = ampturn::setup::sampling_for(receiver(), 425, 10);
    EXPECT_EQ(low.sample_rate_hz, 3200);
    EXPECT_EQ(low.record_length, 3200u);
    EXPECT_EQ(low.record_count, 10u);
    EXPECT_EQ(low.decimation, 32);
    const ampturn::setup::Sampling high = ampturn::setup::sampling_for(receiver(), 39975, 10);
    EXPECT_EQ(high.sample_rate_hz, 102400);
    EXPECT_EQ(high.decimation, 1);
    // Too short for eight records of 1 s: the record is halved, the rate stays.
    const ampturn::setup::Sampling brief = ampturn::setup::sampling_for(receiver(), 425, 2);
    EXPECT_EQ(brief.sample_rate_hz, 3200);
    EXPECT_EQ(brief.record_length, 800u);
    EXPECT_EQ(brief.record_count, 8u);
    EXPECT_EQ(ampturn::setup::sampling_for(receiver(), 51200, 10).record_count, 0u) << "half the sample rate";
    EXPECT_EQ(ampturn::setup::sampling_for(receiver(), 425, 0.01).record_count, 0u) << "no record fits";
}

/// A step of 0.3 s at 4096 Hz without any noise.
struct Quiet {
    NoiseShape noise = noise_shape(
        [](double) {
            return DensityAt{0, 0, 0};
        },
        [](double) { return Complex(1); }, 4096, 256, {});
    MainsWave mains{{.frequency_hz = 0}, [](double) { return Complex(1); }, 4096, 1, 1};
    Surroundings surroundings{.noise = &noise,
                              .mains = &mains,
                              .adc_e = model::receiver::adc(1, 24, 1),
                              .adc_h = model::receiver::adc(1, 24, 1),
                              .with_vertical = false,
                              .seed = 1};
    StepRecording step{
        .sampling = {.sample_rate_hz = 4096, .record_length = 128, .record_count = 8, .decimation = 1},
        .frequency_hz = 512,
        .start_s = 3600,
        .ramp_s = 8 / 512.0,
        .dwell_s = 0.25,
        .envelope = {8, 128},
        .lines = {{512, {Complex(0.5, 0.1), Complex(0, -0.2), Complex(0.25), Complex(0, 0.125), 0}}},
        .stream = 7};
};

TEST(Recording, StreamsEverySampleOnceAndRecordsFillTheDwell) {
    // Definition: the fields the step was made with.
    Quiet q;
    StepProcessor processor(q.step, plan::Window::rectangular, {}, StepSpectra::Keep::bands_only);
    std::size_t expected_first = 0;
    const std::size_t clipped =
        synthesise(q.step, q.surroundings, [&](const ChannelBlock& block, std::size_t first) {
            EXPECT_EQ(first, expected_first);
            expected_first += block.size();
            processor.add(block, first);
        });
    EXPECT_EQ(clipped, 0u);
    EXPECT_EQ(expected_first, sample_count(q.step));
    ASSERT_EQ(processor.lines().size(), 8u);
    // Whole cycles in a rectangular record: the amplitude itself, to half a step of the converter, 6e-8.
    for (const LineRecord& record : processor.lines()) {
        EXPECT_LT(std::abs(record.ex - Complex(0.5, 0.1)), 6e-8);
        EXPECT_LT(std::abs(record.ey - Complex(0, -0.2)), 6e-8);
        EXPECT_LT(std::abs(record.hx - Complex(0.25)), 6e-8);
        EXPECT_LT(std::abs(record.hy - Complex(0, 0.125)), 6e-8);
    }
    EXPECT_NEAR(processor.lines().front().middle_s, 8 / 512.0 + 64 / 4096.0, 1e-12);
}

TEST(Recording, CountsSamplesBeyondTheConverter) {
    Quiet q;
    q.surroundings.adc_e = model::receiver::adc(0.4, 24, 1);
    double largest = 0;
    const std::size_t clipped =
        synthesise(q.step, q.surroundings, [&](const ChannelBlock& block, std::size_t) {
            for (const double x : block.samples[ex]) largest = std::max(largest, std::abs(x));
        });
    EXPECT_GT(clipped, 100u);
    EXPECT_EQ(largest, 0.4);
}

TEST(RecordingFile, ReadsBackAsWritten) {
    const std::string folder = std::filesystem::temp_directory_path() / "ampturn_recording_test";
    std::filesystem::create_directories(folder);
    Quiet q;
    RecordingFile file({.directory = folder,
                        .stem = "one",
                        .plan_path = "p.toml",
                        .plan_crc32 = "00000000",
                        .survey_name = "S",
                        .station = "A",
                        .invented = true,
                        .seed = 1,
                        .loop = model::loop::LoopSelection::a,
                        .moment_a_m2 = 100},
                       q.step, false);
    std::vector<float> expected;
    const std::size_t clipped =
        synthesise(q.step, q.surroundings, [&](const ChannelBlock& block, std::size_t first) {
            file.add(block, first);
            for (std::size_t n = 0; n < block.size(); ++n)
                for (const std::size_t c : {ex, ey, hx, hy})
                    expected.push_back(static_cast<float>(block.samples[c][n]));
        });
    EXPECT_FALSE(std::filesystem::exists(folder + "/one.f32")) << "appears whole or not at all";
    file.close(clipped);
    std::ifstream raw(folder + "/one.f32", std::ios::binary);
    std::stringstream bytes;
    bytes << raw.rdbuf();
    const std::string text = bytes.str();
    ASSERT_EQ(text.size(), expected.size() * 4);
    for (std::size_t i = 0; i < expected.size(); ++i) {
        std::uint32_t word = 0;
        for (int k = 3; k >= 0; --k)
            word = word << 8 | static_cast<unsigned char>(text[4 * i + static_cast<std::size_t>(k)]);
        float value;
        std::memcpy(&value, &word, 4);
        ASSERT_EQ(value, expected[i]);
    }
    const auto side_car = nlohmann::json::parse(std::ifstream(folder + "/one.json"));
    EXPECT_EQ(side_car.at("sample_count"), expected.size() / 4);
    EXPECT_EQ(side_car.at("channels").size(), 4u);
    EXPECT_EQ(side_car.at("sample_rate_hz"), 4096);
    EXPECT_EQ(side_car.at("synthetic"), true);
    std::ifstream csv(folder + "/one.csv");
    std::string line;
    std::getline(csv, line);
    EXPECT_EQ(line, "time_s,ex_v_per_m,ey_v_per_m,hx_a_per_m,hy_a_per_m");
    std::filesystem::remove_all(folder);
}

}  // namespace recording_test
