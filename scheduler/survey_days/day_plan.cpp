#include "scheduler/survey_days/day_plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <utility>

#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/legs.hpp"

namespace ampturn::survey_days {

plan::Plan plan_of_day(const plan::Plan& plan, const plan::SurveyDay& day, const std::vector<int>& stations) {
    plan::Plan out = plan;
    out.stations.clear();
    for (const int s : stations) out.stations.push_back(plan.stations[static_cast<std::size_t>(s)]);
    plan::drop_lost_legs(out);
    out.survey.date = day.date;
    out.day.start_s = day.start_s;
    out.day.end_s = day.end_s;
    out.survey_days = {day};
    out.survey_days.front().stations.resize(stations.size());
    std::iota(out.survey_days.front().stations.begin(), out.survey_days.front().stations.end(), 0);
    out.charging.reset();
    return out;
}

plan::Plan with_states_of_charge(plan::Plan plan, std::vector<double> states_of_charge) {
    plan.battery.state_of_charge = std::move(states_of_charge);
    return plan;
}

plan::Plan plan_of_date(const plan::Plan& plan, const std::string& date) {
    const auto refuse = [](std::string found, std::string allowed) {
        return base::InputError(
            base::InputProblem{.file = "--date", .found = std::move(found), .allowed = std::move(allowed)});
    };
    if (plan.survey_days.empty()) throw refuse("\"" + date + "\"", "a plan with [[survey_day]] tables");
    const std::string dates = fmt::format("{} to {}", base::date_text(plan.survey_days.front().date),
                                          base::date_text(plan.survey_days.back().date));
    if (date.empty())
        throw refuse(fmt::format("nothing, with {} survey days in the plan", plan.survey_days.size()),
                     fmt::format("one of their dates, {}; all of them: `ampturn days`", dates));
    const auto day = std::find_if(plan.survey_days.begin(), plan.survey_days.end(),
                                  [&](const auto& d) { return base::date_text(d.date) == date; });
    if (day == plan.survey_days.end())
        throw refuse("\"" + date + "\"", fmt::format("the date of a survey day, {}", dates));
    if (day->stations.empty())
        throw refuse(fmt::format("\"{}\", which has no stations of its own", date),
                     "a survey day with a list of stations; `ampturn days` assigns the others");
    return plan_of_day(plan, *day, day->stations);
}

}  // namespace ampturn::survey_days
