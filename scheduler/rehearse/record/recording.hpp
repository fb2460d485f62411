#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/record/keyed_carrier.hpp"
#include "scheduler/rehearse/record/noise_stream.hpp"

namespace ampturn::rehearse::record {

/// How a step is sampled and cut into records. The plan's sample rate and record length are halved together as long
/// as the rate stays at seven times the line's frequency or more (so that the third harmonic is still inside): the
/// same recording after an ideal decimating filter, at a fraction of the work. Records are then halved until a dwell
/// holds at least `records_wanted` of them or they would be shorter than 32 cycles or 64 samples.
struct Sampling {
    double sample_rate_hz;
    std::size_t record_length;
    std::size_t record_count;  // whole records inside the dwell; 0: the dwell is too short for one
    double decimation;         // plan's rate over sample_rate_hz
};
inline constexpr std::size_t records_wanted = 8;
/// A line at or above half the plan's sample rate: record_count is 0.
Sampling sampling_for(const plan::Receiver& receiver, double frequency_hz, double dwell_s);

/// One step as one station records it.
struct StepRecording {
    Sampling sampling;
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
