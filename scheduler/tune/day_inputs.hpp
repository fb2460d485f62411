#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/day/day.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::tune {

/// All that decides what a run of a day comes to, besides the program's version.
struct DayInputs {
    std::string plan_path, plan_text;
    std::vector<std::string> settings;  // KEY=VALUE
    std::string start;                  // hh:mm; empty: the plan's
    std::optional<double> temperature_c;
    std::optional<int> batteries;
    std::vector<std::string> without;  // stations
    std::uint64_t seed = 1;

    bool operator==(const DayInputs&) const = default;
};

/// The plan as it stands, with its settings. InputError for what is wrong with it.
plan::Plan given_plan_of(const DayInputs& inputs);
/// The what-ifs about start, air and batteries. InputError for a start that is no time.
day::Overrides overrides_of(const DayInputs& inputs);
/// The plan with its settings and all what-ifs. InputError for what is wrong with one of them.
plan::Plan plan_of(const DayInputs& inputs);

}  // namespace ampturn::tune
