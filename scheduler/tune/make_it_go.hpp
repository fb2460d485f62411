#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scheduler/day/day.hpp"

namespace ampturn::tune {

/// The cheapest set of changes that makes a day go: every planned sweep of every station it keeps is sent whole.
/// Each is tried on the simulated unit before it is told.
///
/// Tried together: stations in the shorter order, crews leaving up to two hours earlier in half hours, dwells
/// tuned to three quarters or half of the sweep's time, sets swapped at the cut-off where the plan never swaps, and
/// as many battery sets as the day then uses. Points: order 1, each half hour 1, swapping 1, each further set 2,
/// dwells 4 and 6 (estimates, no source). Only when none of these goes, the stations that could not be served are
/// left out.
struct DayChange {
    bool improved_order = false;
    std::optional<double> start_s;
    std::optional<double> time_budget_s;  // of one sweep, for `tune`
    bool swap_at_cut_off = false;         // where the plan never swaps
    std::optional<int> batteries;
    std::vector<std::string> without;  // stations left out
};

struct MadeToGo {
    bool goes;        // false: `change` is the nearest
    bool as_planned;  // nothing needs to change
    DayChange change;
    day::DayResult day;  // with the change
    int sweeps_whole, sweeps_planned;
};

/// `given` are changes the field lead has made already. InputError as the day's.
MadeToGo make_day_go(const plan::Plan& plan, const day::Overrides& given, const day::DayOptions& options);

/// The plan without these stations. InputError for a name it does not have, or when none is left.
plan::Plan without_stations(plan::Plan plan, const std::vector<std::string>& names);

/// What was found and the commands that give the same day again. `plan_words`: the plan and its --set flags as they
/// stand on the command line; `day_words`: further flags of `ampturn day`; `new_plan`: file for tuned dwells.
std::string made_to_go_text(const MadeToGo& made, const std::string& plan_words, const std::string& day_words,
                            const std::string& new_plan);

}  // namespace ampturn::tune
