#pragma once

#include <cstdint>
#include <optional>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::day {

/// "What if" on a plan: what a field lead changes on the morning.
inline constexpr double lowest_temperature_c = -50, highest_temperature_c = 60;  // as of day.temperature_c

struct Overrides {
    std::optional<double> start_s;        // crews leave the base
    std::optional<double> temperature_c;  // the same all day
    std::optional<int> batteries;         // joined sets carried
};
/// InputError when a value is outside what the plan's keys allow.
plan::Plan apply(plan::Plan plan, const Overrides& overrides);

struct DayOptions {
    std::uint64_t seed = 1;
    unsigned threads = 1;
};

/// The whole day: run on the sequencer, judged station by station, with what to carry and what to beware of.
DayResult simulate_day(const plan::Plan& plan, const setup::SurveySetup& setup,
                       const DayOptions& options = {});
DayResult simulate_day(const plan::Plan& plan, const DayOptions& options = {});

}  // namespace ampturn::day
