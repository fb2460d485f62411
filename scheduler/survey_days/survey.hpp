#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "scheduler/day/day.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/survey_days/night.hpp"

namespace ampturn::survey_days {

/// A survey's days one after the other. A day without stations of its own takes, in plan order, those that are still open and
/// named by no later day, as far as its time and its batteries go; what was not sent whole stays open, and is done again from
/// its first sweep. The battery sets keep their numbers, are used in their order every day, and go on with the charge they had
/// in the evening and were given in the night.

struct SurveyedDay {
    std::chrono::year_month_day date;
    double start_s = 0, end_s = 0;         // as planned, after local midnight of the date
    bool own_stations = false;             // named by the plan
    int offered = 0;                       // stations that it could have taken
    std::vector<int> stations, done;       // of the plan: gone to, and sent whole; in the order of the day
    std::vector<double> morning, evening;  // states of charge, by set
    std::optional<double> back_s;          // both crews at the base; empty: nobody left it
    double person_hours = 0, energy_wh = 0;
    int required_count = 0, passed_count = 0;  // readings
    bool battery_short = false;                // a sweep was lost to a flat battery
    std::vector<Night> nights;                 // charged after it, before the next; none after the last day
    int open_after = 0;                        // stations
};

/// What it would take beyond the last day: days like it, each on the date after, run to the end.
struct MoreDays {
    int days = 0;
    bool finish = false;  // else such days get no further
};
inline constexpr int more_days_most = 366;

struct Survey {
    std::vector<SurveyedDay> days;
    std::vector<std::optional<int>> done_on;  // index of the day, by station
    std::vector<int> open;                    // after the last day
    std::optional<MoreDays> more;             // where some are open
};

struct SurveyOptions {
    std::uint64_t seed = 1;
    unsigned threads = 1;
    /// Each day that somebody worked, as soon as it is run: its index, its plan and what it came to.
    std::function<void(int day, const plan::Plan& day_plan, day::DayResult&& result)> take = {};
};

/// The plan has survey days. Results depend on plan and seed only.
Survey survey(const plan::Plan& plan, const SurveyOptions& options = {});

}  // namespace ampturn::survey_days
