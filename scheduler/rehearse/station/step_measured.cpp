#include "scheduler/rehearse/station/step_measured.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "scheduler/rehearse/process/step_processor.hpp"
#include "scheduler/rehearse/record/recording_file.hpp"

namespace ampturn::rehearse::station {

using record::ex;
using record::ey;
using record::hx;
using record::hy;

namespace {

/// Bands below and above the line, free of it and of mains; one too narrow has no bins.
std::vector<process::NaturalBand> bands_beside(const plan::Plan& plan, const record::StepRecording& step) {
    std::vector<process::NaturalBand> bands(2);
    for (std::size_t i = 0; i < bands.size(); ++i) {
        const double low = i == 0 ? 0.75 : 1.05, high = i == 0 ? 0.95 : 1.33;
        const double high_hz = std::min(high * step.frequency_hz, 0.45 * step.sampling.sample_rate_hz);
        if (high_hz <= low * step.frequency_hz) continue;
        process::NaturalBand band = process::natural_band({.sample_rate_hz = step.sampling.sample_rate_hz,
                                                           .record_length = step.sampling.record_length,
                                                           .window = plan.receiver.window,
                                                           .line_hz = step.frequency_hz,
                                                           .low_hz = low * step.frequency_hz,
                                                           .high_hz = high_hz,
                                                           .mains_hz = plan.noise.mains_hz,
                                                           .weak_grid = plan.noise.weak_grid,
                                                           .mains_orders = plan.noise.mains_orders});
        if (band.bins.size() >= 4) bands[i] = std::move(band);
    }
    return bands;
}

/// Adds what lies within a factor about the line to the station's spectrum: means over
/// 1/12 octaves, and the line itself.
void add_spectrum(const process::StepProcessor& processor, const record::StepRecording& step,
                  plan::Window window, std::vector<SpectrumPoint>& spectrum) {
    const process::StepSpectra& spectra = processor.spectra();
    const double bin_hz = step.sampling.sample_rate_hz / static_cast<double>(step.sampling.record_length);
    std::array<std::vector<double>, 4> density;
    for (int c = 0; c < 4; ++c) density[static_cast<std::size_t>(c)] = spectra.density(c);
    const auto root_mean = [&](std::size_t first, std::size_t x, std::size_t y, std::size_t last) {
        double sum = 0;
        for (std::size_t k = first; k < last; ++k) sum += density[x][k] + density[y][k];
        return std::sqrt(sum / (2.0 * static_cast<double>(last - first)));
    };
    const auto bin_at = [&](double f) { return static_cast<std::size_t>(std::lround(f / bin_hz)); };
    const double lobe_hz = (window == plan::Window::rectangular ? 2 : 5) * bin_hz;
    const double highest_hz = std::min(1.25 * step.frequency_hz, 0.48 * step.sampling.sample_rate_hz);
    double next_hz = 0.8 * step.frequency_hz;
    while (next_hz < highest_hz) {
        const double low = next_hz, high = std::min(low * std::exp2(1.0 / 12), highest_hz);
        next_hz *= std::exp2(1.0 / 12);
        if (low - lobe_hz < step.frequency_hz && step.frequency_hz < high + lobe_hz) continue;
        const std::size_t first = std::max<std::size_t>(1, bin_at(low)), last = bin_at(high);
        if (last <= first) continue;
        spectrum.push_back({.frequency_hz = std::sqrt(low * high),
                            .e_v_per_m_rthz = root_mean(first, ex, ey, last),
                            .h_a_per_m_rthz = root_mean(first, hx, hy, last),
                            .line = false});
    }
    const std::size_t line = bin_at(step.frequency_hz);
    spectrum.push_back({.frequency_hz = step.frequency_hz,
                        .e_v_per_m_rthz = root_mean(line, ex, ey, line + 1),
                        .h_a_per_m_rthz = root_mean(line, hx, hy, line + 1),
                        .line = true});
}

/// The files of a step's recording, where the rehearsal keeps them.
std::unique_ptr<record::RecordingFile> kept_recording(const Rehearsal& rehearsal, int station_index,
                                                      const SentStep& sent, const record::StepRecording& step,
                                                      bool with_vertical) {
    if (!rehearsal.keep_directory) return nullptr;
    const plan::Plan& plan = rehearsal.plan;
    return std::make_unique<record::RecordingFile>(
        record::RecordingMetadata{
            .directory = *rehearsal.keep_directory,
            .stem = fmt::format("station{:03}-sweep{}-step{:02}-{}-{:.0f}Hz", station_index + 1,
                                sent.sweep_number, sent.step_number, name_of(sent.loop), step.frequency_hz),
            .plan_path = plan.source.path,
            .plan_crc32 = rehearsal.day.plan_crc32,
            .survey_name = plan.survey.name,
            .station = plan.stations[static_cast<std::size_t>(station_index)].name,
            .invented = plan.survey.invented,
            .seed = rehearsal.seed,
            .loop = sent.loop,
            .moment_a_m2 = sent.moment_a_m2},
        step, with_vertical);
}

/// Why a step gives nothing to process; empty when it does.
std::string without_records(const record::StepRecording& step, double record_s) {
    if (!step.lines.empty() && step.sampling.record_count > 0) return "";
    if (step.lines.empty() || 2 * step.frequency_hz >= step.sampling.sample_rate_hz)
        return fmt::format("line at or above half the sample rate of {:g} Hz", step.sampling.sample_rate_hz);
    return fmt::format("dwell of {:g} s holds no record of {:g} s", step.dwell_s, record_s);
}

}  // namespace

PreparedStep prepare_step(const Rehearsal& rehearsal, int station_index, const SentStep& sent) {
    PreparedStep out{
        .recording = recording_of(rehearsal.plan, rehearsal.day, sent, station_index, rehearsal.fields,
                                  rehearsal.harmonics[static_cast<std::size_t>(sent.step_number - 1)]),
        .measured = {.sent = sent, .hour = static_cast<int>(sent.start_s / 3600) % 24}};
    const setup::Sampling& sampling = out.recording.sampling;
    out.measured.sample_rate_hz = sampling.sample_rate_hz;
    out.measured.record_s = static_cast<double>(sampling.record_length) / sampling.sample_rate_hz;
    out.measured.why_not = without_records(out.recording, out.measured.record_s);
    return out;
}

StepMeasured measure_step(const Rehearsal& rehearsal, int station_index, const SentStep& sent,
                          StationNoise& noise) {
    const plan::Plan& plan = rehearsal.plan;
    PreparedStep prepared = prepare_step(rehearsal, station_index, sent);
    const record::StepRecording& step = prepared.recording;
    StepMeasured& out = prepared.measured;
    if (!out.why_not.empty()) return out;
    const bool for_spectrum = sent.loop == model::loop::LoopSelection::a && sent.sweep_number == 1;
    process::StepProcessor processor(
        step, plan.receiver.window, bands_beside(plan, step),
        for_spectrum ? process::StepSpectra::Keep::densities : process::StepSpectra::Keep::bands_only);
    const record::Surroundings around = noise.at(step, out.hour);
    const auto kept = kept_recording(rehearsal, station_index, sent, step, around.with_vertical);
    out.clipped = record::synthesise(step, around, [&](const record::ChannelBlock& block, std::size_t first) {
        processor.add(block, first);
        if (kept) kept->add(block, first);
    });
    if (kept) kept->close(out.clipped);
    if (sent.loop == model::loop::LoopSelection::both) {
        out.why_not = both_loops_at_once;
        return out;
    }
    out.lines = processor.lines();
    for (std::size_t band = 0; band < out.natural.size(); ++band) {
        out.natural[band].band = processor.spectra().bands()[band];
        if (!out.natural[band].band.bins.empty())
            out.natural[band].pieces = processor.spectra().band_pieces(band);
    }
    if (for_spectrum) add_spectrum(processor, step, plan.receiver.window, out.spectrum);
    return out;
}

}  // namespace ampturn::rehearse::station
