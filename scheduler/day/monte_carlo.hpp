#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "scheduler/day/battery_percentiles.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::day {

/// How sure a plan is: the day run many times over with what is not known exactly drawn anew each time.

/// How much an uncertain input matters for an outcome: Spearman's rank correlation over the runs, -1 to 1
/// (Spearman 1904); with N runs about 1/sqrt(N) of it is chance.
struct Influence {
    std::string input;
    double on_passed_count, on_lowest_voltage, on_end_of_day;
};

struct ReadingProbability {
    int station_index, frequency_index;
    double usable_probability;
};

struct MonteCarloSummary {
    int runs;
    std::uint64_t seed;
    double completes_probability;
    double carried_batteries_suffice_probability;  // no set short when the carried ones are all used
    Percentiles energy_wh, lowest_battery_v, end_s, passed_count, batteries_used;
    std::vector<ReadingProbability> readings;  // station by station, frequency by frequency
    std::vector<Influence> influences;         // the strongest on passed_count first
    BatteryPercentiles battery;                // the first battery_runs_most runs
};

/// What one run came to.
struct DayDraw {
    std::vector<double> inputs;  // standard normal, quantity by quantity, then layer by layer
    bool completed = false;
    bool battery_short = false;
    /// lowest_v is infinite where no battery supplied.
    double energy_wh = 0, lowest_v = 0, end_s = 0, passed_count = 0, batteries_used = 0;
    std::vector<bool> usable;  // station by station, frequency by frequency
    BatteryTrace battery;      // empty beyond the first battery_runs_most runs
};

struct MonteCarloOptions {
    int first = 0;  // of the runs
    int runs = 100;
    std::uint64_t seed = 1;
    unsigned threads = 1;
    /// Called now and then, from one thread at a time, with the number of runs done.
    std::function<void(int)> progress;
};

/// A day as one run has it, for who lives it on other stations or batteries than run_monte_carlo() does.
struct DrawKey {
    std::uint64_t seed;
    int run;  // from 0
    int day =
        0;  // of a survey of several, from 0, which is run_monte_carlo()'s own: on another the air, the noise and what
    // things take are drawn anew, the rest is as on the first
};
struct DrawnDay {
    std::vector<double> inputs;  // as DayDraw's
    plan::Plan plan;
    setup::SurveySetup setup;  // the planned table over it
    std::uint64_t run_seed;    // of run_day()
};
/// `nominal` with what a run scales as numbers in it; drawn_day() starts from it.
plan::Plan plan_to_draw_from(plan::Plan nominal, const setup::SurveySetup& setup);
DrawnDay drawn_day(const plan::Plan& nominal, const setup::SurveySetup& planned, const DrawKey& key);

/// The runs first to first + runs - 1, one by one, in order, to `take`, which is called from one thread.
void draw_days(const plan::Plan& plan, const setup::SurveySetup& setup, const MonteCarloOptions& options,
               const std::function<void(int run, DayDraw&&)>& take);
/// Of runs 0, 1 and so on, all there and in order, however they came about: what run_monte_carlo() says of them.
MonteCarloSummary summary_of(const plan::Plan& plan, const setup::SurveySetup& setup,
                             std::vector<DayDraw> draws, std::uint64_t seed);

/// Both in one. Results depend on plan, runs and seed only, never on the thread count: every run is a function of (seed,
/// run, quantity). runs >= 1.
///
/// Every run sends the table of `setup`, the plan's own: a table is uploaded once, whatever the day brings.
MonteCarloSummary run_monte_carlo(const plan::Plan& plan, const setup::SurveySetup& setup,
                                  const MonteCarloOptions& options);
MonteCarloSummary run_monte_carlo(const plan::Plan& plan, const MonteCarloOptions& options);

}  // namespace ampturn::day
