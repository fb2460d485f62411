#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/station/schedule.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::rehearse::station {

/// What all stations of a rehearsal share; outlives them.
struct Rehearsal {
    const plan::Plan& plan;
    const day::DayResult& day;
    const setup::SweepSetup& setup;
    const FieldTable& fields;
    const std::vector<HarmonicRatios>& harmonics;  // row by row of the table
    const std::vector<std::size_t>& sensor_sets;   // plan::sensor_sets_standing
    std::uint64_t seed;
    bool with_vertical = false;
    std::optional<std::string> keep_directory;
};

}  // namespace ampturn::rehearse::station
