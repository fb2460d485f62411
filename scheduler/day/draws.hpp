#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "scheduler/day/battery_fan.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::plan {

/// How sure a plan is: the day run many times over with what is not known exactly drawn anew each time.

/// How much an uncertain input matters for an outcome: Spearman's rank correlation over the draws, -1 to 1
/// (Spearman 1904); with N draws about 1/sqrt(N) of it is chance.
struct Influence {
    std::string input;
    double on_passed_count, on_lowest_voltage, on_end_of_day;
};

struct PairProbability {
    int station_index, frequency_index;
    double usable_probability;
};

struct DrawSummary {
    int draws;
    std::uint64_t seed;
    double completes_probability;
    double carried_batteries_suffice_probability;  // no set short when the carried ones are all used
    Percentiles energy_wh, lowest_battery_v, end_s, passed_count, batteries_used;
    std::vector<PairProbability> pairs;  // station by station, frequency by frequency
    std::vector<Influence> influences;   // the strongest on passed_count first
    BatteryFan battery;                  // the first battery_draws_most draws
};

struct DrawOptions {
    int draws = 100;
    std::uint64_t seed = 1;
    unsigned threads = 1;
    /// Called now and then, from one thread at a time, with the number of draws done.
    std::function<void(int)> progress;
};

/// Results depend on plan, draws and seed only, never on the thread count: every draw is a function of (seed,
/// draw, quantity). draws >= 1.
///
/// Every draw sends the table of `setup`, the plan's own: a table is uploaded once, whatever the day brings.
DrawSummary run_draws(const Plan& plan, const SurveySetup& setup, const DrawOptions& options);
DrawSummary run_draws(const Plan& plan, const DrawOptions& options);

}  // namespace ampturn::plan
