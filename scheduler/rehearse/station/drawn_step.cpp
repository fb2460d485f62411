#include "scheduler/rehearse/station/drawn_step.hpp"

#include <cmath>
#include <vector>

namespace ampturn::rehearse::station {
namespace {

using record::ex;
using record::ey;

/// Whether all waves in phase would meet the end of a converter. The noise is far below any range that takes these.
bool may_clip(const record::StepRecording& step, const process::LineSurroundings& around) {
    for (std::size_t c = 0; c < 4; ++c) {
        const bool electric = c == ex || c == ey;
        double crest = 0;
        for (const record::SourceLine& line : step.lines) crest += std::abs(line.amplitude[c]);
        for (const record::KeyedCarrier& carrier : around.carriers) crest += std::abs(carrier.amplitude[c]);
        if (around.mains->any())
            crest += electric ? around.mains->crest_e_v_per_m() : around.mains->crest_h_a_per_m();
        if (crest >= (electric ? around.adc_e : around.adc_h).full_scale) return true;
    }
    return false;
}

}  // namespace

const process::LineDraw& LineDraws::of(const record::StepRecording& step, plan::Window window) {
    const std::lock_guard lock(mutex_);
    auto& kept = kept_[{step.frequency_hz, step.sampling.sample_rate_hz, step.sampling.record_length}];
    if (!kept) {
        std::vector<double> source_hz;
        for (const record::SourceLine& line : step.lines) source_hz.push_back(line.frequency_hz);
        kept = std::make_unique<process::LineDraw>(step.frequency_hz, step.sampling, window, source_hz);
    }
    return *kept;
}

DrawnStep draw_step(const Rehearsal& rehearsal, int station_index, const SentStep& sent, StationNoise& noise,
                    LineDraws& draws) {
    const PreparedStep prepared = prepare_step(rehearsal, station_index, sent);
    if (!prepared.measured.why_not.empty()) return {prepared.measured, false};
    const process::LineSurroundings around = noise.about_line(prepared.recording, prepared.measured.hour);
    if (may_clip(prepared.recording, around))
        return {measure_step(rehearsal, station_index, sent, noise), true};
    DrawnStep out{prepared.measured, false};
    if (sent.loop == model::loop::LoopSelection::both)
        out.measured.why_not = both_loops_at_once;
    else
        out.measured.lines =
            draws.of(prepared.recording, rehearsal.plan.receiver.window).draw(prepared.recording, around);
    return out;
}

}  // namespace ampturn::rehearse::station
