#include "scheduler/survey_days/chances.hpp"

#include <cstddef>
#include <map>
#include <utility>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/day/day_run.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/day/sweep_outcome.hpp"
#include "scheduler/survey_days/day_plan.hpp"
#include "scheduler/survey_days/day_steps.hpp"

namespace ampturn::survey_days {

namespace {

struct DrawnSurveyDay {
    int done = 0, open_after = 0;
    std::optional<double> back_s;
    bool battery_short = false;
};

/// What no draw changes: the plan to draw from, and for each start of a day its table and the pattern of a sweep.
struct Shared {
    plan::Plan nominal;
    SetupsByStart setups;
    std::map<double, run::SweepPattern> patterns;
};

Shared shared_by_draws(const plan::Plan& plan, std::uint64_t seed) {
    Shared out;
    for (const plan::SurveyDay& day : plan.survey_days) {
        const auto [pattern, is_new] = out.patterns.try_emplace(day.start_s);
        if (!is_new) continue;
        plan::Plan whole =
            plan_of_day(plan, day, day.stations.empty() ? OpenStations(plan).all() : day.stations);
        const setup::SurveySetup& setup = out.setups.of(whole);
        if (out.nominal.stations.empty()) out.nominal = day::plan_to_draw_from(plan, setup);
        whole = day::plan_to_draw_from(std::move(whole), setup);
        day::run_day(whole, setup,
                     {.seed = seed,
                      .sets_available = plan.battery.sets_carried,
                      .trace = false,
                      .keep_pattern = &pattern->second});
    }
    out.nominal.positions = {};  // thousands of keys that nothing drawn asks for
    return out;
}

class DrawnSurvey {
  public:
    DrawnSurvey(Shared& shared, std::uint64_t seed, int draw)
        : shared_(shared),
          plan_(shared.nominal),
          seed_(seed),
          draw_(draw),
          open_(plan_),
          states_(states_at_start(plan_.battery)) {}

    std::vector<DrawnSurveyDay> run() {
        std::vector<DrawnSurveyDay> out;
        for (std::size_t k = 0; k < plan_.survey_days.size(); ++k) {
            const plan::SurveyDay& day = plan_.survey_days[k];
            const std::vector<int> stations =
                day.stations.empty() ? open_.for_day(static_cast<int>(k)) : day.stations;
            const day::DrawnDay drawn =
                drawn_day(static_cast<int>(k), stations.empty() ? std::vector{0} : stations);
            DrawnSurveyDay lived;
            if (!stations.empty()) live(static_cast<int>(k), stations, drawn, lived);
            lived.open_after = open_.count();
            if (k + 1 < plan_.survey_days.size() && day.charge && plan_.charging)
                charge(day, plan_.survey_days[k + 1], drawn, lived.back_s.value_or(day.start_s));
            out.push_back(lived);
        }
        return out;
    }

  private:
    const setup::SurveySetup& setup_of(const plan::Plan& day_plan) const {
        return shared_.setups.of(day_plan);
    }

    day::DrawnDay drawn_day(int k, const std::vector<int>& stations) {
        const plan::Plan day_plan = with_states_of_charge(
            plan_of_day(plan_, plan_.survey_days[static_cast<std::size_t>(k)], stations), states_);
        return day::drawn_day(day_plan, setup_of(day_plan), {.seed = seed_, .run = draw_, .day = k});
    }

    day::DayRun run_day(const day::DrawnDay& drawn) const {
        const run::SweepPattern& pattern = shared_.patterns.at(drawn.plan.day.start_s);
        return day::run_day(drawn.plan, drawn.setup,
                            {.seed = drawn.run_seed,
                             .sets_available = drawn.plan.battery.sets_carried,
                             .trace = false,
                             .pattern = pattern.pieces().empty() ? nullptr : &pattern});
    }

    /// As the survey itself does it: a day without stations of its own is run once to see which it gets to, and with those.
    void live(int k, const std::vector<int>& stations, const day::DrawnDay& drawn, DrawnSurveyDay& lived) {
        day::DayRun run = run_day(drawn);
        lived.battery_short = day::short_of_batteries(run.sweeps);
        std::vector<int> done = sent_whole(drawn.plan, run.sweeps, stations);
        if (plan_.survey_days[static_cast<std::size_t>(k)].stations.empty()) {
            const std::vector<int> reached = gone_to(run.sweeps, stations);
            if (reached.empty()) return;
            if (reached != stations) {
                const day::DrawnDay again = drawn_day(k, reached);
                run = run_day(again);
                done = sent_whole(again.plan, run.sweeps, reached);
                lived.battery_short = lived.battery_short || day::short_of_batteries(run.sweeps);
            }
        }
        lived.done = static_cast<int>(done.size());
        lived.back_s = run.end_s;
        open_.take_out(done);
        states_ = states_in_evening(std::move(states_), run.batteries);
    }

    void charge(const plan::SurveyDay& day, const plan::SurveyDay& next, const day::DrawnDay& drawn,
                double over_s) {
        const std::vector<Night> nights = nights_between(
            *plan_.charging,
            charged_sets(drawn.plan, drawn.setup.transmitter, plan_.charging->place_temperature_c), states_,
            {.over_s = over_s, .next_start_s = next.start_s, .nights = nights_from(day, next)},
            drawn.plan.battery.temperature_c.value_or(drawn.plan.day.air_temperature_c(over_s)));
        states_ = states_after(nights, std::move(states_));
    }

    Shared& shared_;
    const plan::Plan& plan_;
    std::uint64_t seed_;
    int draw_;
    OpenStations open_;
    std::vector<double> states_;
};

DayChance chance_of_day(const std::vector<std::vector<DrawnSurveyDay>>& draws, std::size_t k) {
    DayChance out{};
    std::vector<double> done, back_s;
    for (const std::vector<DrawnSurveyDay>& draw : draws) {
        const DrawnSurveyDay& day = draw[k];
        done.push_back(day.done);
        if (day.back_s) back_s.push_back(*day.back_s);
        out.finished += day.open_after == 0;
        out.battery_short += day.battery_short;
    }
    out.stations_done = day::percentiles(std::move(done));
    out.worked = static_cast<int>(back_s.size());
    if (!back_s.empty()) out.back_s = day::percentiles(std::move(back_s));
    return out;
}

}  // namespace

Chances chances(const plan::Plan& plan, const ChancesOptions& options) {
    Shared shared = shared_by_draws(plan, options.seed);
    std::vector<std::vector<DrawnSurveyDay>> draws(static_cast<std::size_t>(options.draws));
    base::parallel_for(draws.size(), options.threads, [&](std::size_t i) {
        draws[i] = DrawnSurvey(shared, options.seed, static_cast<int>(i)).run();
        if (options.drawn) options.drawn();
    });
    Chances out{.draws = options.draws, .seed = options.seed};
    for (std::size_t k = 0; k < plan.survey_days.size(); ++k) out.days.push_back(chance_of_day(draws, k));
    std::vector<double> open;
    for (const std::vector<DrawnSurveyDay>& draw : draws) open.push_back(draw.back().open_after);
    out.open_at_end = day::percentiles(std::move(open));
    return out;
}

}  // namespace ampturn::survey_days
