#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "scheduler/day/battery_percentiles.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::survey_days {

/// How sure a survey is: all its days lived many times over, with what is not known exactly drawn anew each time as
/// day/monte_carlo.hpp has it. What changes from day to day (air, noise, what things take) is drawn for each day, the rest once
/// for all days of a draw. Charge and open stations go on from day to day within a draw.

struct DayChance {
    day::Percentiles stations_done;          // on this day
    int worked = 0;                          // draws in which somebody left the base
    std::optional<day::Percentiles> back_s;  // over those
    int finished = 0;                        // draws in which nothing is open after it
    int battery_short = 0;                   // draws in which a sweep was lost to a flat battery
};
struct Chances {
    int draws = 0;
    std::uint64_t seed = 0;
    std::vector<DayChance> days;
    day::Percentiles open_at_end;  // stations
};

struct ChancesOptions {
    int draws = 100;  // >= 1
    std::uint64_t seed = 1;
    unsigned threads = 1;
    std::function<void()> drawn = {};  // after each draw, from any thread
};
/// Each draw is a function of (seed, draw, day, quantity): results never depend on the thread count. The plan has survey days.
Chances chances(const plan::Plan& plan, const ChancesOptions& options);

}  // namespace ampturn::survey_days
