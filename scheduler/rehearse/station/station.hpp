#pragma once

#include <span>
#include <vector>

#include "scheduler/rehearse/station/step_measured.hpp"

namespace ampturn::rehearse::station {

/// What planning predicts for a station and frequency from what was sent there, the seconds used: the natural
/// field and the mains are plane waves over the ground, as the synthesis has them.
reading::ReadingInput predicted_reading(const plan::Plan& plan, const reading::FrequencyResponse& response,
                                        int station_index, int hour, const reading::Transmission& sent_a,
                                        const reading::Transmission& sent_b);

struct StationMeasured {
    std::vector<StationFrequencyResult> frequencies;
    std::vector<SpectrumPoint> spectrum;
    double clock_error_found;  // relative
};
/// What a station's steps, in the order they were sent, come to: clock error found and undone, tensors with their bars,
/// the natural field beside the lines. Deterministic.
StationMeasured station_measured(const Rehearsal& rehearsal, int station_index,
                                 std::span<const StepMeasured> steps);

}  // namespace ampturn::rehearse::station
