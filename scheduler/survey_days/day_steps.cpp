#include "scheduler/survey_days/day_steps.hpp"

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <limits>
#include <utility>
#include <variant>

#include "scheduler/setup/transmitter_of_plan.hpp"

namespace ampturn::survey_days {

OpenStations::OpenStations(const plan::Plan& plan)
    : named_by_(plan.stations.size(), -1),
      open_(plan.stations.size(), true),
      count_(static_cast<int>(plan.stations.size())) {
    for (std::size_t day = 0; day < plan.survey_days.size(); ++day)
        for (const int s : plan.survey_days[day].stations)
            named_by_[static_cast<std::size_t>(s)] = static_cast<int>(day);
}

std::vector<int> OpenStations::for_day(int day) const {
    std::vector<int> out;
    for (std::size_t s = 0; s < open_.size(); ++s)
        if (open_[s] && named_by_[s] <= day) out.push_back(static_cast<int>(s));
    return out;
}

void OpenStations::take_out(const std::vector<int>& done) {
    for (const int s : done) {
        count_ -= open_[static_cast<std::size_t>(s)];
        open_[static_cast<std::size_t>(s)] = false;
    }
}

std::vector<int> OpenStations::all() const { return for_day(std::numeric_limits<int>::max()); }

const setup::SurveySetup& SetupsByStart::of(const plan::Plan& day_plan) {
    const auto found = by_start_s_.find(day_plan.day.start_s);
    if (found != by_start_s_.end()) return found->second;
    return by_start_s_.emplace(day_plan.day.start_s, setup::survey_setup_of(day_plan)).first->second;
}

std::vector<int> gone_to(const std::vector<day::SweepOutcome>& sweeps, const std::vector<int>& stations) {
    std::vector<bool> gone(stations.size(), false);
    for (const day::SweepOutcome& sweep : sweeps)
        if (!sweep.stopped_by || !(std::holds_alternative<day::NoTimeLeft>(*sweep.stopped_by) ||
                                   std::holds_alternative<day::NoBatteryLeft>(*sweep.stopped_by)))
            for (const int s : sweep.listeners) gone[static_cast<std::size_t>(s)] = true;
    std::vector<int> out;
    for (std::size_t i = 0; i < stations.size(); ++i)
        if (gone[i]) out.push_back(stations[i]);
    return out;
}

std::vector<int> sent_whole(const plan::Plan& day_plan, const std::vector<day::SweepOutcome>& sweeps,
                            const std::vector<int>& stations) {
    std::vector<int> whole(stations.size(), 0);
    for (const day::SweepOutcome& sweep : sweeps)
        for (const int s : sweep.listeners) whole[static_cast<std::size_t>(s)] += sweep.complete();
    std::vector<int> out;
    for (std::size_t i = 0; i < stations.size(); ++i)
        if (whole[i] >= day_plan.stations[i].sweeps) out.push_back(stations[i]);
    return out;
}

std::vector<double> states_at_start(const plan::Battery& battery) {
    std::vector<double> out;
    for (int set = 0; set < battery.sets_carried; ++set) out.push_back(battery.state_of_charge_of(set));
    return out;
}

std::vector<double> states_in_evening(std::vector<double> morning,
                                      const std::vector<day::BatteryUse>& batteries) {
    // The last bits of the wells can lie outside.
    for (const day::BatteryUse& use : batteries)
        morning.at(static_cast<std::size_t>(use.battery_number - 1)) =
            std::clamp(use.left_fraction, 0.0, 1.0);
    return morning;
}

std::vector<ChargedSet> charged_sets(const plan::Plan& plan,
                                     const model::transmitter::Transmitter& transmitter,
                                     double place_temperature_c) {
    std::vector<ChargedSet> out;
    for (int set = 0; set < plan.battery.sets_carried; ++set)
        out.push_back(charged_set(setup::with_battery_set(transmitter, plan, set).design.battery,
                                  plan.battery.chemistry, place_temperature_c));
    return out;
}

std::vector<Night> nights_between(const plan::Charging& charging, const std::vector<ChargedSet>& sets,
                                  const std::vector<double>& evening, const Between& between,
                                  double battery_c) {
    const double hours = (86'400.0 * between.nights + between.next_start_s - between.over_s) / 3600;
    std::vector<Night> out;
    std::vector<double> states = evening;
    for (int night = 0; night < between.nights; ++night) {
        out.push_back(charge_overnight(charging, sets, states, hours - 24.0 * night,
                                       night == 0 ? battery_c : charging.place_temperature_c));
        states = states_after({out.back()}, std::move(states));
    }
    return out;
}

std::vector<double> states_after(const std::vector<Night>& nights, std::vector<double> evening) {
    if (nights.empty()) return evening;
    for (std::size_t set = 0; set < evening.size(); ++set) evening[set] = nights.back().sets[set].morning;
    return evening;
}

int nights_from(const plan::SurveyDay& day, const plan::SurveyDay& next) {
    return static_cast<int>((std::chrono::sys_days(next.date) - std::chrono::sys_days(day.date)).count());
}

}  // namespace ampturn::survey_days
