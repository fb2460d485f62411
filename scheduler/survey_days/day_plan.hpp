#pragma once

#include <chrono>
#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::survey_days {

/// One survey day as a plan of one day: these stations in this order, the day's date, start and end; all else as it was. Legs to
/// other stations are left out. `stations`: of plan.stations, not empty. The day itself is its only survey day, and it charges
/// nothing.
plan::Plan plan_of_day(const plan::Plan& plan, const plan::SurveyDay& day, const std::vector<int>& stations);

/// Its battery sets with these states of charge, one each.
plan::Plan with_states_of_charge(plan::Plan plan, std::vector<double> states_of_charge);

/// The day of that date as its own list of stations has it. InputError, naming --date, for a plan without survey days, for an
/// empty date, for one that is none of theirs, and for a day without a list.
plan::Plan plan_of_date(const plan::Plan& plan, const std::string& date);

}  // namespace ampturn::survey_days
