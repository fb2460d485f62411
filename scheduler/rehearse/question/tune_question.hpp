#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/station/result.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/tune/dwell_allocation.hpp"

namespace ampturn::rehearse::question {

/// Dwells of a plan's table spent where they answer its [question] best: the squared distance between the
/// answers (question_model.hpp) is made as large as bounds, whole cycles or records, and budgets allow
/// (question_allocation.hpp). Targets of error and bias are not looked at.
///
/// Budgets: sweep.time_budget_s and sweep.energy_budget_wh; where the plan has neither, what its sweep takes
/// now, so that the new table answers better for the same cost. Planning outputs (plan/tune_table.hpp), every
/// sweep sent, noise of the noisiest hour of the working day at each station.

struct QuestionTuneOptions {
    int runs = 4000;  // data sets drawn from each ground
    std::uint64_t seed = 1;
    unsigned threads = 1;  // do not change the result
};

/// What a frequency's dwells come from: the question itself, or a bound they stand at.
enum class DwellSetBy { question, shortest_dwell, longest_dwell, heat };

struct QuestionFrequency {
    double frequency_hz;
    std::size_t step_a, step_b;     // of Plan::sweep.steps
    tune::DwellPair before, after;  // as the unit sends them, in whole cycles
    double information_nats,
        information_loss_nats;  // after: with the host known; what the whole would lose without it
    double seconds_after, energy_wh_after;  // of one sweep, with settle, ramps, gaps
    double nats_per_wh;                     // lost, over the energy of all sweeps
    double next_nats_per_wh;                // what the next watt-hour here would add
    DwellSetBy set_by;
};

struct QuestionSums {
    double duration_s, energy_wh;  // one sweep as the unit sends it; energy estimated
    double distance;               // between the answers, standard deviations
    double probability, probability_right;
};

struct QuestionTuned {
    plan::Plan plan;  // with the new dwells
    std::vector<QuestionFrequency> frequencies;
    QuestionSums before, after;
    double distance_with_exact_gains;  // after, if the sensors' gains were known exactly
    double distance_limit;             // that no dwells within the budgets can pass
    /// The smallest common share of both budgets at which new dwells answer as well as the plan's own; empty
    /// when even the whole budgets do not.
    struct Cost {
        double duration_s, energy_wh;  // one sweep
    };
    std::optional<Cost> as_before;
    std::optional<double> time_budget_s, energy_budget_wh;  // of one sweep, as used
    bool own_budget;                                        // taken from the plan's own dwells
    bool kept_input;                                        // the plan's own dwells were as good
    int stations, sweeps;                                   // that the question's data come from
};

/// InputError when the plan asks no question, a frequency is not sent by exactly one step of each loop, or
/// even the shortest dwells overrun a budget.
QuestionTuned tune_for_question(const plan::Plan& plan, const setup::SweepSetup& setup,
                                const QuestionTuneOptions& options);
QuestionTuned tune_for_question(const plan::Plan& plan, const QuestionTuneOptions& options);

/// The day run with the old and the new table on the real sequencer, and what its data answer.
struct QuestionDays {
    day::DayResult before, after;
    station::Answer answer_before, answer_after;
};
QuestionDays question_days(const plan::Plan& before, const setup::SurveySetup& setup_before,
                           const plan::Plan& after, const QuestionTuneOptions& options);
QuestionDays question_days(const plan::Plan& before, const plan::Plan& after,
                           const QuestionTuneOptions& options);

}  // namespace ampturn::rehearse::question
