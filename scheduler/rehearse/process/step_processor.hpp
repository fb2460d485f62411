#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "scheduler/rehearse/process/line.hpp"
#include "scheduler/rehearse/process/spectra.hpp"
#include "scheduler/rehearse/record/recording.hpp"

namespace ampturn::rehearse::process {

/// Cuts the stream of one step into records and reads from each the line and the spectra. Records begin where
/// the dwell begins and stop where it ends; what is left over at the end is not used.
class StepProcessor {
  public:
    StepProcessor(const record::StepRecording& step, plan::Window window, std::vector<NaturalBand> bands,
                  StepSpectra::Keep keep);

    void add(const record::ChannelBlock& block, std::size_t first_sample);

    const LineRecords& lines() const { return lines_; }
    LineRecords& lines() { return lines_; }
    const StepSpectra& spectra() const { return spectra_; }
    double record_s() const;

  private:
    StepProcessor(const record::StepRecording& step, std::vector<double> weights,
                  std::vector<NaturalBand> bands, StepSpectra::Keep keep);
    void finish_record();

    double sample_rate_hz_;
    std::size_t record_length_, records_left_,
        next_first_;  // next_first_: first sample of the record under way
    LineDetector detector_;
    StepSpectra spectra_;
    LineRecords lines_;
    std::array<std::vector<double>, 4> record_;
    std::size_t filled_ = 0;
};

}  // namespace ampturn::rehearse::process
