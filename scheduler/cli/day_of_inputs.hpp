#pragma once

#include "scheduler/day/day.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/report/draw_rows.hpp"

namespace ampturn::cli {

/// The plan as it stands, with its settings. InputError for what is wrong with it.
plan::Plan given_plan_of(const report::DayInputs& inputs);
/// The what-ifs about start, air and batteries.
day::Overrides overrides_of(const report::DayInputs& inputs);
/// The plan with its settings and all what-ifs. InputError for what is wrong with one of them.
plan::Plan plan_of(const report::DayInputs& inputs);

}  // namespace ampturn::cli
