#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/station/result.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::rehearse {

struct RehearsalOptions {
    std::uint64_t seed = 1;
    unsigned threads = 1;               // do not change the result
    std::vector<std::string> stations;  // names; empty: all
    std::optional<std::string> keep_directory;
    bool with_vertical = false;  // Hz even when the plan's receiver has no vertical coil
    bool invert = true;
    int question_runs = 1000;
    std::function<void()> station_done;  // from any thread
};

/// Synthesises the receiver's records while the simulated day's sweeps run, processes them as a crew would,
/// inverts the curves, and answers the plan's question. Same plan, day and seed: same result, whatever the
/// threads. InputError names an unknown station (as from --station).
station::RehearsalResult rehearse(const plan::Plan& plan, const setup::SurveySetup& setup,
                                  const day::DayResult& day, const RehearsalOptions& options);
station::RehearsalResult rehearse(const plan::Plan& plan, const day::DayResult& day,
                                  const RehearsalOptions& options);

/// Places in the plan of the stations named, in the plan's order; all of them without names. InputError names
/// an unknown one (as from --station).
std::vector<int> station_indices(const plan::Plan& plan, const std::vector<std::string>& names);

}  // namespace ampturn::rehearse
