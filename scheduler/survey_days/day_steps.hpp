#pragma once

#include <map>
#include <vector>

#include "scheduler/day/day_run.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/survey_days/night.hpp"

namespace ampturn::survey_days {

/// What one day of a survey is made of, whether it is run once or drawn many times.

/// Stations still to be done, and which day names which.
class OpenStations {
  public:
    explicit OpenStations(const plan::Plan& plan);
    /// What a day without stations of its own takes: all that are open and named by no later day, in plan order.
    std::vector<int> for_day(int day) const;
    void take_out(const std::vector<int>& done);
    std::vector<int> all() const;
    int count() const { return count_; }

  private:
    std::vector<int> named_by_;  // index of a day, by station; -1: none
    std::vector<bool> open_;
    int count_;
};

/// A table is made for the air at the start of a day (setup::planning_condition_of), so days that start alike share one.
/// Charge, stations and date do not change it.
class SetupsByStart {
  public:
    const setup::SurveySetup& of(const plan::Plan& day_plan);

  private:
    std::map<double, setup::SurveySetup> by_start_s_;
};

/// Those the receiver crew went to, for a sweep that was begun or that the unit or its battery refused.
std::vector<int> gone_to(const std::vector<day::SweepOutcome>& sweeps, const std::vector<int>& stations);
/// Those of which each sweep was sent whole. `stations` are those of day_plan, as indices of the survey's plan.
std::vector<int> sent_whole(const plan::Plan& day_plan, const std::vector<day::SweepOutcome>& sweeps,
                            const std::vector<int>& stations);

/// States of charge by set: what the plan starts with, and what a day leaves.
std::vector<double> states_at_start(const plan::Battery& battery);
std::vector<double> states_in_evening(std::vector<double> morning,
                                      const std::vector<day::BatteryUse>& batteries);
/// Every set as a charger meets it.
std::vector<ChargedSet> charged_sets(const plan::Plan& plan,
                                     const model::transmitter::Transmitter& transmitter,
                                     double place_temperature_c);

/// Between two days: from when the first is over (seconds after its midnight) to the start of the next.
struct Between {
    double over_s;
    double next_start_s;  // after the next date's midnight
    int nights;           // between the dates, 1 for a day and the one after it
};
/// A night for each date between, each charging.hours at most and each with the supply's watt-hours; none when nothing is
/// charged. battery_c: as the sets come in.
std::vector<Night> nights_between(const plan::Charging& charging, const std::vector<ChargedSet>& sets,
                                  const std::vector<double>& evening, const Between& between,
                                  double battery_c);
std::vector<double> states_after(const std::vector<Night>& nights, std::vector<double> evening);

/// Dates from one to the other.
int nights_from(const plan::SurveyDay& day, const plan::SurveyDay& next);

}  // namespace ampturn::survey_days
