#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "model/ground/earth.hpp"
#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/station/result.hpp"
#include "scheduler/rehearse/station/schedule.hpp"

namespace ampturn::rehearse::station {

/// What all stations of a rehearsal share; outlives them.
struct Rehearsal {
    const plan::Plan& plan;
    const day::DayResult& day;
    model::ground::LayeredEarth earth;
    const FieldTable& fields;
    const std::vector<HarmonicRatios>& harmonics;  // row by row of the table
    std::uint64_t seed;
    bool with_vertical = false;
    std::optional<std::string> keep_directory;
};

/// Densities at a station and hour without mains, which is synthesised as what it is.
record::Densities densities_at(const plan::Plan& plan, const model::ground::LayeredEarth& earth,
                               const plan::Station& station, int hour);

/// What planning predicts for a station and frequency from what was sent there, the seconds used: the natural
/// field and the mains are plane waves over the ground, as the synthesis has them.
reading::ReadingInput predicted_reading(const plan::Plan& plan, const reading::FrequencyResponse& response,
                                        int station_index, int hour, const reading::Transmission& sent_a,
                                        const reading::Transmission& sent_b);

/// Synthesises and processes every step sent to a station. Deterministic; streams, so that the memory needed
/// does not grow with the day.
struct StationMeasured {
    std::vector<StationFrequencyResult> frequencies;
    std::vector<SpectrumPoint> spectrum;
    double clock_error_found;  // relative
};
StationMeasured measure_station(const Rehearsal& rehearsal, int station_index);

}  // namespace ampturn::rehearse::station
