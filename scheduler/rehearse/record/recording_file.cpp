#include "scheduler/rehearse/record/recording_file.hpp"

#include <fmt/format.h>

#include <cstring>
#include <nlohmann/json.hpp>
#include <utility>

#include "scheduler/base/output_file.hpp"
#include "scheduler/base/version.hpp"

namespace ampturn::rehearse::record {
namespace {

constexpr const char* names[channel_count] = {"ex", "ey", "hx", "hy", "hz"};
constexpr const char* units[channel_count] = {"V/m", "V/m", "A/m", "A/m", "A/m"};

void append_little_endian(std::string& bytes, float value) {
    std::uint32_t bits;
    std::memcpy(&bits, &value, sizeof bits);
    for (int shift = 0; shift < 32; shift += 8) bytes.push_back(static_cast<char>((bits >> shift) & 0xFF));
}

}  // namespace

struct RecordingFile::Files {
    RecordingMetadata kept;
    StepRecording step;
    std::size_t channels, samples = 0;
    base::OutputFile raw;
    std::unique_ptr<base::OutputFile> csv;
    std::string bytes;

    Files(RecordingMetadata k, const StepRecording& s, bool with_vertical)
        : kept(std::move(k)),
          step(s),
          channels(with_vertical ? channel_count : channel_count - 1),
          raw(kept.directory + "/" + kept.stem + ".f32") {
        if (sample_count(step) > csv_samples_max) return;
        csv = std::make_unique<base::OutputFile>(kept.directory + "/" + kept.stem + ".csv");
        csv->write(channels == channel_count
                       ? "time_s,ex_v_per_m,ey_v_per_m,hx_a_per_m,hy_a_per_m,hz_a_per_m\n"
                       : "time_s,ex_v_per_m,ey_v_per_m,hx_a_per_m,hy_a_per_m\n");
    }
};

RecordingFile::RecordingFile(RecordingMetadata kept, const StepRecording& step, bool with_vertical)
    : files_(std::make_unique<Files>(std::move(kept), step, with_vertical)) {}
RecordingFile::~RecordingFile() = default;

void RecordingFile::add(const ChannelBlock& block, std::size_t first_sample) {
    Files& f = *files_;
    f.bytes.clear();
    std::string rows;
    for (std::size_t n = 0; n < block.size(); ++n) {
        if (f.csv)
            rows +=
                fmt::format("{:.9g}", static_cast<double>(first_sample + n) / f.step.sampling.sample_rate_hz);
        for (std::size_t c = 0; c < f.channels; ++c) {
            append_little_endian(f.bytes, static_cast<float>(block.samples[c][n]));
            if (f.csv) rows += fmt::format(",{:.9g}", static_cast<float>(block.samples[c][n]));
        }
        if (f.csv) rows += '\n';
    }
    f.raw.write(f.bytes);
    if (f.csv) f.csv->write(rows);
    f.samples += block.size();
}

void RecordingFile::close(std::size_t clipped_samples) {
    Files& f = *files_;
    nlohmann::ordered_json channels = nlohmann::ordered_json::array();
    for (std::size_t c = 0; c < f.channels; ++c) channels.push_back({{"name", names[c]}, {"unit", units[c]}});
    const nlohmann::ordered_json side_car{
        {"schema", "ampturn.recording"},
        {"schema_version", 1},
        {"synthetic", true},
        {"invented_scenario", f.kept.invented},
        {"program", fmt::format("ampturn {}", base::version())},
        {"plan", f.kept.plan_path},
        {"plan_crc32", f.kept.plan_crc32},
        {"seed", f.kept.seed},
        {"survey", f.kept.survey_name},
        {"station", f.kept.station},
        {"data_file", f.kept.stem + ".f32"},
        {"sample_format", "float32, little-endian, channels of one sample one after the other"},
        {"channels", channels},
        {"sample_count", f.samples},
        {"sample_rate_hz", f.step.sampling.sample_rate_hz},
        {"decimated_from_hz", f.step.sampling.sample_rate_hz * f.step.sampling.decimation},
        {"first_sample_s_after_local_midnight", f.step.start_s},
        {"loop", name_of(f.kept.loop)},
        {"line_hz", f.step.frequency_hz},
        {"moment_a_m2_peak", f.kept.moment_a_m2},
        {"ramp_s", f.step.ramp_s},
        {"dwell_s", f.step.dwell_s},
        {"clipped_samples", clipped_samples},
        {"axes", "x north, y east, z down; e^{+i omega t}"}};
    f.raw.commit();
    if (f.csv) f.csv->commit();
    base::write_output_file(f.kept.directory + "/" + f.kept.stem + ".json", side_car.dump(2) + "\n");
}

}  // namespace ampturn::rehearse::record
