#pragma once

#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/survey_frequency.hpp"
#include "scheduler/tune/tune_budget.hpp"

namespace ampturn::tune {

/// A sweep as every way of tuning its dwells sees it: each frequency with one step of each loop, what a
/// second of them costs, what dwells they can have, and what the plan's budgets leave for all dwells
/// together. Planning outputs (planned_output.hpp).

struct TuneRow {
    reading::SurveyFrequency frequency;
    std::size_t step_a, step_b;     // of Plan::sweep.steps
    DwellPair own;                  // nominal, as the plan has them
    DwellBounds bounds;             // on whole quanta; heat counted
    double watts_a, watts_b;        // while sending; > 0
    double quantum_s;               // a nominal dwell is a whole multiple: a cycle, or a receiver's record
    double overhead_s, overhead_j;  // settle, ramps and gaps of both steps
    bool heat_limits;               // the upper bound of either step
};

struct TuneTable {
    std::vector<TuneRow> rows;
    double overhead_s = 0, overhead_j = 0;
    AllocationBudget budget;  // what is left for the dwells
};

/// InputError when a frequency is not sent by exactly one step of each loop, or no dwell fits a step's
/// bounds.
TuneTable tune_table(const plan::Plan& plan, const setup::SweepSetup& setup);

/// A row's dwells as the unit keeps them in this table, in whole cycles of its clock.
DwellPair sent_dwells(const TuneRow& row, const setup::PlannedTable& table);

/// That even the shortest dwells overrun a budget of the plan.
base::InputError budget_too_small(const plan::Plan& plan, const TuneTable& table);

/// Of the hours crews are out, the one with most noise at a station.
int noisiest_hour(const plan::Plan& plan, const plan::Station& station, double frequency_hz,
                  double surface_impedance_ohm);

}  // namespace ampturn::tune
