#include <fmt/format.h>

#include <chrono>
#include <cstddef>
#include <map>

#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/file/config_expand.hpp"
#include "scheduler/plan/night_shift.hpp"

namespace ampturn::plan::file {

namespace {

/// Names of stations, and on which survey day each was met already.
class DayStations {
  public:
    DayStations(const Plan& plan, Refusals& refusals) : refusals_(refusals) {
        for (std::size_t i = 0; i < plan.stations.size(); ++i) {
            index_.emplace(plan.stations[i].name, static_cast<int>(i));
            names_.push_back(plan.stations[i].name);
        }
    }

    std::vector<int> of(const SurveyDayInput& day, const std::string& key) {
        std::vector<int> out;
        for (std::size_t i = 0; i < day.stations.size(); ++i) {
            const std::string& name = day.stations[i];
            const std::string entry_key = fmt::format("{}.stations[{}]", key, i + 1);
            const auto station = index_.find(name);
            if (station == index_.end()) {
                (void)index_of_name(name, names_, entry_key, "the name of a station", refusals_);
                continue;
            }
            const auto [first, is_first] = day_of_.emplace(station->second, day.date);
            if (is_first)
                out.push_back(station->second);
            else
                refusals_.add(
                    entry_key,
                    fmt::format("\"{}\", a station of {} already", name, base::date_text(first->second)),
                    "each station on one day");
        }
        return out;
    }

  private:
    Refusals& refusals_;
    std::vector<std::string> names_;
    std::map<std::string, int> index_;
    std::map<int, std::chrono::year_month_day> day_of_;
};

void check_after(const SurveyDay& before, const SurveyDay& day, const std::string& key, Refusals& refusals) {
    if (day.date <= before.date) {
        refusals.add(key + ".date", base::date_text(day.date),
                     fmt::format("a date after {}, that of the day before", base::date_text(before.date)));
        return;
    }
    const auto nights = std::chrono::sys_days(day.date) - std::chrono::sys_days(before.date);
    const double overlap_s =
        before.end_s - day.start_s - std::chrono::duration<double>(std::chrono::seconds(nights)).count();
    if (overlap_s > 0)
        refusals.add(key + ".start", base::clock_text(day.start_s),
                     fmt::format("not before the day before ends, {:.3g} h later", overlap_s / 3600));
}

void check_charging(const PlanInput& input, Refusals& refusals) {
    if (!input.charging) {
        for (std::size_t i = 0; i < input.survey_days.size(); ++i) {
            const std::string key = fmt::format("survey_day[{}].charge", i + 1);
            if (input.survey_days[i].charge && refusals.given(key))
                refusals.add(key, "true without a [charging] table", "a [charging] table, or false");
        }
        return;
    }
    if (input.survey_days.empty())
        refusals.add("charging", "a table in a plan of one day", "[[survey_day]] tables beside it");
    const Charging& charging = *input.charging;
    if (charging.supply == ChargingSupply::mains) return;
    const char* with = charging.supply == ChargingSupply::generator ? "with supply = \"generator\""
                                                                    : "with supply = \"vehicle\"";
    if (!charging.supply_w) refusals.add("charging.supply_w", "nothing", fmt::format("watts {}", with));
    if (!charging.supply_wh)
        refusals.add("charging.supply_wh", "nothing", fmt::format("watt-hours a night {}", with));
}

}  // namespace

void add_survey_days(const PlanInput& input, Plan& plan, Refusals& refusals) {
    plan.charging = input.charging;
    check_charging(input, refusals);
    DayStations stations(plan, refusals);
    for (std::size_t i = 0; i < input.survey_days.size(); ++i) {
        const SurveyDayInput& given = input.survey_days[i];
        const std::string key = fmt::format("survey_day[{}]", i + 1);
        SurveyDay day{.date = given.date, .start_s = given.start_s.value_or(plan.day.start_s)};
        const double end_s = given.end_s.value_or(plan.day.end_s);
        day.end_s = end_after_start_s(day.start_s, end_s);
        day.stations = stations.of(given, key);
        day.charge = given.charge;
        if (day.end_s - day.start_s == 86'400)
            refusals.add(key + (given.end_s ? ".end" : ".start"), base::clock_text(day.start_s),
                         "a start and an end that differ");
        if (i > 0) check_after(plan.survey_days.back(), day, key, refusals);
        plan.survey_days.push_back(std::move(day));
    }
}

}  // namespace ampturn::plan::file
