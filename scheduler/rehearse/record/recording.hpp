#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/record/keyed_carrier.hpp"
#include "scheduler/rehearse/record/mains_wave.hpp"
#include "scheduler/setup/sampling.hpp"

namespace ampturn::rehearse::record {

/// One step as one station records it.
struct StepRecording {
    setup::Sampling sampling;
    double frequency_hz;     // of the table, what processing takes the line for
    double start_s;          // seconds after local midnight, start of the ramp
    double ramp_s, dwell_s;  // ramp up; ramp down takes as long
    model::receiver::StepEnvelope envelope;
    std::vector<SourceLine> lines;  // fundamental first, in receiver time
    std::uint64_t stream;           // names the draws of this step
};

/// Surroundings of a recording.
struct Surroundings {
    const NoiseShape* noise;
    const MainsWave* mains;
    std::span<const KeyedCarrier> carriers;
    model::receiver::Adc adc_e, adc_h;  // V/m and A/m
    bool with_vertical;
    std::uint64_t seed;
};

/// Streams a step, block by block, from the start of its ramp to the end of the ramp down; the memory needed
/// is a few blocks, however long the step. Returns the number of samples that met the converter's end.
using BlockSink = std::function<void(const ChannelBlock& block, std::size_t first_sample)>;
std::size_t synthesise(const StepRecording& step, const Surroundings& surroundings, const BlockSink& sink);

/// Samples a recording of the step has in each channel.
std::size_t sample_count(const StepRecording& step);

}  // namespace ampturn::rehearse::record
