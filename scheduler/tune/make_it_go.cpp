#include "scheduler/tune/make_it_go.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/day/day_run.hpp"
#include "scheduler/day/sweep_outcome.hpp"
#include "scheduler/order/ordered_day.hpp"
#include "scheduler/plan/legs.hpp"
#include "scheduler/plan/listening_groups.hpp"
#include "scheduler/tune/tune.hpp"

namespace ampturn::tune {

namespace {

constexpr double half_hour_s = 1800;
constexpr int half_hours_most = 4;

int whole_sweeps(const std::vector<day::SweepOutcome>& sweeps) {
    return static_cast<int>(
        std::count_if(sweeps.begin(), sweeps.end(), [](const auto& s) { return s.complete(); }));
}

struct Trial {
    DayChange change;
    int points = 0, whole = 0;
    bool completed = false;
    std::vector<std::string> not_served;
};

class Search {
  public:
    Search(const plan::Plan& plan, const day::Overrides& given, const day::DayOptions& options)
        : plan_(plan), given_(given), options_(options) {
        tuned_.push_back({std::nullopt, plan, 0});
        const double now_s = setup::sweep_setup_of(plan).table.duration_s;
        for (const auto& [share, points] : {std::pair{0.75, 4}, {0.5, 6}}) add_tuned(share * now_s, points);
    }

    MadeToGo found() {
        std::optional<Trial> best, nearest;
        for (Trial& trial : trials()) {
            if (best && trial.points >= best->points) continue;
            run(trial);
            if (trial.completed && (!best || trial.points < best->points)) best = trial;
            if (!nearest || trial.whole > nearest->whole ||
                (trial.whole == nearest->whole && trial.points < nearest->points))
                nearest = trial;
        }
        // Stations are left out last, and only those that cannot be served.
        for (Trial trial = *nearest; !best && !trial.not_served.empty();) {
            trial.change.without.insert(trial.change.without.end(), trial.not_served.begin(),
                                        trial.not_served.end());
            if (trial.change.without.size() >= plan_.stations.size()) break;
            run(trial);
            if (trial.completed) best = trial;
        }
        return made(best ? *best : *nearest);
    }

  private:
    struct Tuned {
        std::optional<double> time_budget_s;
        plan::Plan plan;
        int points;
    };

    /// Every set of changes, but for the battery sets it then takes.
    std::vector<Trial> trials() const {
        std::vector<Trial> out;
        const double start_s = given_.start_s.value_or(plan_.day.start_s);
        const int swaps_most = plan_.day.swap_rule == plan::SwapRule::never;
        for (const Tuned& tuned : tuned_)
            for (int half_hours = 0; half_hours <= half_hours_most && half_hours * half_hour_s <= start_s;
                 ++half_hours)
                for (int improved = 0; improved <= 1; ++improved)
                    for (int swap = 0; swap <= swaps_most; ++swap) {
                        DayChange change{.improved_order = improved > 0,
                                         .time_budget_s = tuned.time_budget_s,
                                         .swap_at_cut_off = swap > 0};
                        if (half_hours > 0) change.start_s = start_s - half_hours * half_hour_s;
                        out.push_back(
                            {.change = change, .points = tuned.points + half_hours + improved + swap});
                    }
        return out;
    }

    void add_tuned(double budget_s, int points) {
        plan::Plan plan = plan_;
        budget_s = std::ceil(budget_s);
        plan.sweep.time_budget_s = budget_s;
        try {
            tuned_.push_back({budget_s, tune(plan, {.threads = options_.threads}).plan, points});
        } catch (
            const base::InputError&) {  // not two steps a frequency, or no dwells so short: nothing to try
        }
    }

    plan::Plan changed(const DayChange& change) const {
        const auto tuned = std::find_if(tuned_.begin(), tuned_.end(), [&](const Tuned& t) {
            return t.time_budget_s == change.time_budget_s;
        });
        day::Overrides overrides = given_;
        if (change.start_s) overrides.start_s = change.start_s;
        if (change.batteries) overrides.batteries = change.batteries;
        plan::Plan plan = without_stations(day::apply(tuned->plan, overrides), change.without);
        if (change.swap_at_cut_off) plan.day.swap_rule = plan::SwapRule::at_cut_off;
        if (!change.improved_order) return plan;
        const double sweep_s = plan.receiver_crews.empty() ? 0 : setup::sweep_setup_of(plan).table.duration_s;
        return order::in_improved_order(plan, sweep_s);
    }

    /// With as many battery sets as it takes; how many that are becomes part of the change.
    void run(Trial& trial) const {
        trial.change.batteries.reset();
        const plan::Plan plan = changed(trial.change);
        const day::DayRun day = day::run_day(
            plan, setup::sweep_setup_of(plan),
            {.seed = options_.seed, .sets_available = day::battery_sets_tried_most, .trace = false});
        trial.whole = whole_sweeps(day.sweeps);
        trial.completed = day.completed;
        trial.not_served.clear();
        for (const day::SweepOutcome& sweep : day.sweeps) {
            if (day::completed_in_any_attempt(day.sweeps, sweep)) continue;
            for (const int listener : sweep.listeners) {
                const std::string& name = plan.stations[static_cast<std::size_t>(listener)].name;
                if (std::find(trial.not_served.begin(), trial.not_served.end(), name) ==
                    trial.not_served.end())
                    trial.not_served.push_back(name);
            }
        }
        const int used = static_cast<int>(day.batteries.size());
        if (used > plan.battery.sets_carried) {
            trial.change.batteries = used;
            trial.points += 2 * (used - plan.battery.sets_carried);
        }
    }

    MadeToGo made(const Trial& trial) const {
        const plan::Plan plan = changed(trial.change);
        MadeToGo out{.goes = false,
                     .as_planned = trial.points == 0 && trial.change.without.empty(),
                     .change = trial.change,
                     .day = day::simulate_day(plan, options_),
                     .sweeps_whole = 0,
                     .sweeps_planned = plan::sweeps_planned(plan)};
        out.goes = out.day.completed;
        out.sweeps_whole = whole_sweeps(out.day.sweeps);
        return out;
    }

    const plan::Plan& plan_;
    const day::Overrides& given_;
    const day::DayOptions& options_;
    std::vector<Tuned> tuned_;
};

std::string changes_text(const DayChange& change) {
    std::vector<std::string> parts;
    if (change.improved_order) parts.emplace_back("stations in the shorter order");
    if (change.start_s) parts.push_back("crews leave at " + base::clock_minutes_text(*change.start_s));
    if (change.time_budget_s)
        parts.push_back("dwells tuned to a sweep of " + base::duration_text(*change.time_budget_s));
    if (change.swap_at_cut_off) parts.emplace_back("sets swapped at the cut-off");
    if (change.batteries) parts.push_back(fmt::format("{} battery sets carried", *change.batteries));
    if (!change.without.empty()) parts.push_back(fmt::format("without {}", fmt::join(change.without, ", ")));
    return fmt::format("{}", fmt::join(parts, "; "));
}

std::string quoted(const std::string& word) {
    std::string out = "'";
    for (const char c : word) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

std::string commands_text(const DayChange& change, const std::string& plan_words,
                          const std::string& day_words, const std::string& new_plan) {
    std::string out, plan = plan_words;
    if (change.time_budget_s) {
        out += fmt::format("  ampturn tune {} --set sweep.time_budget_s={} --quick --new-plan {}\n",
                           plan_words, base::toml_number(*change.time_budget_s), new_plan);
        plan = new_plan;
    }
    out += "  ampturn day " + plan + day_words;
    if (change.swap_at_cut_off) out += " --set day.swap_rule=at_cut_off";
    if (change.start_s) out += " --start " + base::clock_minutes_text(*change.start_s);
    if (change.batteries) out += fmt::format(" --batteries {}", *change.batteries);
    for (const std::string& name : change.without) out += " --without " + quoted(name);
    if (change.improved_order) out += " --order improved";
    return out + "\n";
}

}  // namespace

MadeToGo make_day_go(const plan::Plan& plan, const day::Overrides& given, const day::DayOptions& options) {
    return Search(plan, given, options).found();
}

plan::Plan without_stations(plan::Plan plan, const std::vector<std::string>& names) {
    for (const std::string& name : names) {
        const auto found = std::find_if(plan.stations.begin(), plan.stations.end(),
                                        [&](const plan::Station& s) { return s.name == name; });
        if (found == plan.stations.end() || plan.stations.size() == 1)
            throw base::InputError({"--without",
                                    {},
                                    "",
                                    "\"" + name + "\"",
                                    found == plan.stations.end() ? "the name of a station of the plan, once"
                                                                 : "names that leave a station"});
        plan.stations.erase(found);
    }
    plan::drop_lost_legs(plan);
    return plan;
}

std::string made_to_go_text(const MadeToGo& made, const std::string& plan_words, const std::string& day_words,
                            const std::string& new_plan) {
    const std::string result =
        fmt::format("{} of {} sweeps sent whole, back at base {}, {} of {} required readings pass",
                    made.sweeps_whole, made.sweeps_planned, base::clock_minutes_text(made.day.end_s),
                    made.day.passed_count, made.day.required_count);
    if (made.goes && made.as_planned) return fmt::format("The day goes as planned: {}.\n", result);
    const std::string changes = changes_text(made.change);
    std::string out = made.goes ? fmt::format("The day goes with: {}.\n", changes)
                                : fmt::format("Nothing that was tried makes the day go. Nearest: {}.\n",
                                              changes.empty() ? "the plan as it is" : changes);
    return out + fmt::format("Run so: {}.\n", result) +
           commands_text(made.change, plan_words, day_words, new_plan);
}

}  // namespace ampturn::tune
