#pragma once

#include "scheduler/day/day.hpp"

namespace ampturn::day {

/// The day with its stations in the order improved_order() finds (station_order.hpp). `plan` is the plan in
/// that order; `day.order` tells what was gained, `day.findings` says it in a line. The set-up is that of
/// either order: no order changes it.
struct OrderedDay {
    plan::Plan plan;
    DayResult day;
};
OrderedDay simulate_day_in_improved_order(const plan::Plan& plan, const setup::SurveySetup& setup,
                                          const DayOptions& options = {});
OrderedDay simulate_day_in_improved_order(const plan::Plan& plan, const DayOptions& options = {});

}  // namespace ampturn::day
