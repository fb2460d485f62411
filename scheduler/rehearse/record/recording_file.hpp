#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>

#include "scheduler/rehearse/record/recording.hpp"

namespace ampturn::rehearse::record {

/// What is kept of a recording, for the side-car.
struct RecordingMetadata {
    std::string directory;  // exists
    std::string stem;       // of the file names, "V01-sweep1-step03-A-2825Hz"
    std::string plan_path, plan_crc32, survey_name, station;
    bool invented;
    std::uint64_t seed;
    model::loop::LoopSelection loop;
    double moment_a_m2;
};

/// Writes a recording as it streams: STEM.f32, little-endian float32, channels Ex Ey Hx Hy (Hz) of one sample
/// after the other (V/m, A/m); STEM.json says what they are. Recordings of at most csv_samples_max samples
/// are written as STEM.csv too. Files appear whole, when close() is called. InputError when they cannot be written.
inline constexpr std::size_t csv_samples_max = 20000;
class RecordingFile {
  public:
    RecordingFile(RecordingMetadata kept, const StepRecording& step, bool with_vertical);
    ~RecordingFile();
    void add(const ChannelBlock& block, std::size_t first_sample);
    void close(std::size_t clipped_samples);

  private:
    struct Files;
    std::unique_ptr<Files> files_;
};

}  // namespace ampturn::rehearse::record
