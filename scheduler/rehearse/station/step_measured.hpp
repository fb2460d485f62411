#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "scheduler/rehearse/process/spectra.hpp"
#include "scheduler/rehearse/station/result.hpp"
#include "scheduler/rehearse/station/station_noise.hpp"

namespace ampturn::rehearse::station {

/// What the natural field gave in a band beside a line.
struct BandPieces {
    process::NaturalBand band;
    std::vector<process::CrossSpectra> pieces;  // one a record
};

/// What one step gave at a station.
struct StepMeasured {
    SentStep sent;
    int hour = 0;  // of the day
    double sample_rate_hz = 0, record_s = 0;
    std::uint64_t clipped = 0;
    process::LineRecords lines;           // empty where there is no tensor to be had from it
    std::array<BandPieces, 2> natural;    // below and above the line; no pieces where a band is too narrow
    std::vector<SpectrumPoint> spectrum;  // about the line; of one step a frequency
    std::string why_not;                  // why there are no lines
};

/// A step before anything is recorded: the source as the station will meet it, and why nothing will come of it.
struct PreparedStep {
    record::StepRecording recording;
    StepMeasured measured;
};
PreparedStep prepare_step(const Rehearsal& rehearsal, int station_index, const SentStep& sent);

inline constexpr const char* both_loops_at_once = "both loops send at once: one polarisation, no tensor";

/// Synthesises a step sample by sample and processes it as a crew would.
StepMeasured measure_step(const Rehearsal& rehearsal, int station_index, const SentStep& sent,
                          StationNoise& noise);

}  // namespace ampturn::rehearse::station
