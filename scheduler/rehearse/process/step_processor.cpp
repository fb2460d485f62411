#include "scheduler/rehearse/process/step_processor.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace ampturn::rehearse::process {

using record::ex;
using record::ey;
using record::hx;
using record::hy;

StepProcessor::StepProcessor(const record::StepRecording& step, plan::Window window,
                             std::vector<NaturalBand> bands, StepSpectra::Keep keep)
    : StepProcessor(step, window_weights(window, step.sampling.record_length), std::move(bands), keep) {}

StepProcessor::StepProcessor(const record::StepRecording& step, std::vector<double> weights,
                             std::vector<NaturalBand> bands, StepSpectra::Keep keep)
    : sample_rate_hz_(step.sampling.sample_rate_hz),
      record_length_(step.sampling.record_length),
      records_left_(step.sampling.record_count),
      next_first_(static_cast<std::size_t>(std::ceil(step.ramp_s * step.sampling.sample_rate_hz))),
      detector_(step.frequency_hz, sample_rate_hz_, weights),
      spectra_(sample_rate_hz_, std::move(weights), std::move(bands), keep) {
    for (auto& channel : record_) channel.resize(record_length_);
}

double StepProcessor::record_s() const { return static_cast<double>(record_length_) / sample_rate_hz_; }

void StepProcessor::add(const record::ChannelBlock& block, std::size_t first_sample) {
    std::size_t place = 0;
    while (records_left_ > 0) {
        const std::size_t wanted = next_first_ + filled_;  // absolute number of the next sample needed
        if (wanted >= first_sample + block.size()) return;
        place = wanted - first_sample;
        const std::size_t count = std::min(record_length_ - filled_, block.size() - place);
        for (std::size_t c = 0; c < record_.size(); ++c)
            std::copy_n(block.samples[c].begin() + static_cast<std::ptrdiff_t>(place), count,
                        record_[c].begin() + static_cast<std::ptrdiff_t>(filled_));
        filled_ += count;
        if (filled_ < record_length_) return;
        finish_record();
    }
}

void StepProcessor::finish_record() {
    const double start_s = static_cast<double>(next_first_) / sample_rate_hz_;
    const RecordView record{record_[ex], record_[ey], record_[hx], record_[hy]};
    const auto amplitude = detector_.amplitudes(record, start_s);
    lines_.push_back({.middle_s = start_s + record_s() / 2,
                      .ex = amplitude[ex],
                      .ey = amplitude[ey],
                      .hx = amplitude[hx],
                      .hy = amplitude[hy]});
    spectra_.add(record);
    next_first_ += record_length_;
    filled_ = 0;
    --records_left_;
}

}  // namespace ampturn::rehearse::process
