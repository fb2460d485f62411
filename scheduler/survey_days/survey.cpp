#include "scheduler/survey_days/survey.hpp"

#include <chrono>
#include <cstddef>
#include <map>
#include <utility>

#include "scheduler/day/sweep_outcome.hpp"
#include "scheduler/run/sweep_replay.hpp"
#include "scheduler/survey_days/day_plan.hpp"
#include "scheduler/survey_days/day_steps.hpp"

namespace ampturn::survey_days {

namespace {

class Surveyor {
  public:
    Surveyor(const plan::Plan& plan, const SurveyOptions& options)
        : plan_(plan), options_(options), open_(plan), states_(states_at_start(plan.battery)) {}

    Survey run() {
        Survey out;
        out.done_on.resize(plan_.stations.size());
        for (std::size_t k = 0; k < plan_.survey_days.size(); ++k) {
            SurveyedDay day = work(static_cast<int>(k));
            for (const int s : day.done)
                if (!out.done_on[static_cast<std::size_t>(s)])
                    out.done_on[static_cast<std::size_t>(s)] = static_cast<int>(k);
            if (k + 1 < plan_.survey_days.size())
                day.nights =
                    charge(plan_.survey_days[k], plan_.survey_days[k + 1], day.back_s.value_or(day.start_s));
            out.days.push_back(std::move(day));
        }
        out.open = open_.all();
        const SurveyedDay& last = out.days.back();
        if (!out.open.empty()) out.more = more_days(last.back_s.value_or(last.start_s));
        return out;
    }

  private:
    /// The stations that a day without its own gets to, of those that are open; none: nobody leaves.
    struct Reached {
        std::vector<int> stations, done;
        day::DayRun run;
    };
    Reached reach(const plan::SurveyDay& day, const std::vector<int>& open) {
        if (open.empty()) return {};
        const plan::Plan day_plan = with_states_of_charge(plan_of_day(plan_, day, open), states_);
        run::SweepPattern& pattern = patterns_[day.start_s];
        const bool known = !pattern.pieces().empty();
        day::DayRun run = day::run_day(day_plan, setups_.of(day_plan),
                                       {.seed = options_.seed,
                                        .sets_available = plan_.battery.sets_carried,
                                        .trace = false,
                                        .keep_pattern = known ? nullptr : &pattern,
                                        .pattern = known ? &pattern : nullptr});
        return {gone_to(run.sweeps, open), sent_whole(day_plan, run.sweeps, open), std::move(run)};
    }

    SurveyedDay work(int k) {
        const plan::SurveyDay& day = plan_.survey_days[static_cast<std::size_t>(k)];
        SurveyedDay out{.date = day.date, .start_s = day.start_s, .end_s = day.end_s};
        out.own_stations = !day.stations.empty();
        out.stations = day.stations;
        out.offered = static_cast<int>(day.stations.size());
        out.morning = states_;
        if (!out.own_stations) {
            const std::vector<int> open = open_.for_day(k);
            out.offered = static_cast<int>(open.size());
            Reached reached = reach(day, open);
            out.stations = std::move(reached.stations);
            out.battery_short = day::short_of_batteries(reached.run.sweeps);
        }
        if (!out.stations.empty()) simulate(k, day, out);
        out.evening = states_;
        out.open_after = open_.count();
        return out;
    }

    void simulate(int k, const plan::SurveyDay& day, SurveyedDay& out) {
        const plan::Plan day_plan = with_states_of_charge(plan_of_day(plan_, day, out.stations), states_);
        day::DayResult result = day::simulate_day(day_plan, setups_.of(day_plan),
                                                  {.seed = options_.seed, .threads = options_.threads});
        out.done = sent_whole(day_plan, result.sweeps, out.stations);
        out.back_s = result.end_s;
        out.person_hours = result.person_hours;
        out.energy_wh = result.energy_wh;
        out.required_count = result.required_count;
        out.passed_count = result.passed_count;
        out.battery_short = out.battery_short || day::short_of_batteries(result.sweeps);
        states_ = states_in_evening(std::move(states_), result.batteries);
        open_.take_out(out.done);
        if (options_.take) options_.take(k, day_plan, std::move(result));
    }

    /// Between two days; the states of charge become those of the next morning.
    std::vector<Night> charge(const plan::SurveyDay& day, const plan::SurveyDay& next, double over_s) {
        if (!plan_.charging || !day.charge) return {};
        if (sets_.empty())
            sets_ = charged_sets(plan_, setups_.of(plan_of_day(plan_, day, {0})).transmitter,
                                 plan_.charging->place_temperature_c);
        std::vector<Night> nights =
            nights_between(*plan_.charging, sets_, states_,
                           {.over_s = over_s, .next_start_s = next.start_s, .nights = nights_from(day, next)},
                           plan_.battery.temperature_c.value_or(plan_.day.air_temperature_c(over_s)));
        states_ = states_after(nights, std::move(states_));
        return nights;
    }

    /// Days like the last, run until all is done or neither stations nor charge get any further.
    MoreDays more_days(double over_s) {
        MoreDays out;
        plan::SurveyDay day = plan_.survey_days.back();
        while (out.days < more_days_most) {
            plan::SurveyDay next = day;
            next.date = std::chrono::sys_days(day.date) + std::chrono::days(1);
            next.stations.clear();
            const std::vector<double> evening = states_;
            (void)charge(day, next, over_s);
            const Reached reached = reach(next, open_.all());
            const bool charged = states_ != evening;
            ++out.days;
            over_s = next.start_s;
            if (!reached.stations.empty()) {
                over_s = reached.run.end_s;
                states_ = states_in_evening(std::move(states_), reached.run.batteries);
            }
            open_.take_out(reached.done);
            out.finish = open_.count() == 0;
            if (out.finish || (reached.done.empty() && !(charged && reached.stations.empty()))) break;
            day = std::move(next);
        }
        return out;
    }

    const plan::Plan& plan_;
    const SurveyOptions& options_;
    OpenStations open_;
    SetupsByStart setups_;
    std::map<double, run::SweepPattern> patterns_;  // of a sweep, by the start of the day, as its table is
    std::vector<ChargedSet> sets_;
    std::vector<double> states_;  // of charge, by set, now
};

}  // namespace

Survey survey(const plan::Plan& plan, const SurveyOptions& options) { return Surveyor(plan, options).run(); }

}  // namespace ampturn::survey_days
