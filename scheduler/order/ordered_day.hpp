#pragma once

#include "scheduler/day/day.hpp"

namespace ampturn::order {

/// The plan with its stations in a better order: for a plan without receiver crews the shortest way
/// (day/station_order.hpp), else crews, order and groups together (crew_order.hpp). `sweep_s`: one sweep of its table.
plan::Plan in_improved_order(const plan::Plan& plan, double sweep_s);

/// The day of that plan. `plan` is the plan in that order; `day.order` or, with receiver crews, `day.crew_order` tells what
/// was gained, `day.findings` says it in a line. The set-up is that of either order: no order changes it.
///
/// With receiver crews both days are simulated, and the plan's own is kept unless in the other one as many sweeps are heard
/// whole by as many stations and the last crew is back no later.
struct OrderedDay {
    plan::Plan plan;
    day::DayResult day;
};
OrderedDay simulate_day_in_improved_order(const plan::Plan& plan, const setup::SurveySetup& setup,
                                          const day::DayOptions& options = {});
OrderedDay simulate_day_in_improved_order(const plan::Plan& plan, const day::DayOptions& options = {});

}  // namespace ampturn::order
