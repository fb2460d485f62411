#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/tune/dwell_allocation.hpp"

namespace ampturn::tune {

/// Dwells of a plan's table set to what its stations need and no longer (dwell_allocation.hpp), as whole
/// cycles, or whole receiver records where the plan asks for coherent records, within each step's bounds and
/// the plan's budgets of time and energy for one sweep.
///
/// Who counts: the readings the plan requires, without those whose bias no dwell can cure and
/// those that even the longest dwell leaves too noisy. Planning outputs (planned_output.hpp); noise of the
/// noisiest hour of the working day at each station; its sweeps share the dwell.

enum class TuneFor { energy, time };  // what is made small when the budgets leave a choice

struct TuneOptions {
    TuneFor minimise = TuneFor::energy;
    double margin_fraction = 0.05;  // error bars are planned this much smaller than their targets
    bool biased_too = false;        // also serve readings whose bias is beyond the tolerance
    unsigned threads = 1;
};

/// Whose error bar sets a dwell.
struct Decider {
    int station_index;
    plan::Element element;
};

/// Where a frequency's dwells ended: at a bound, at the error target, or at the target as far as the budgets let it.
enum class DwellLimit { shortest_dwell, longest_dwell, heat, error_target, budget };

struct TunedFrequency {
    double frequency_hz;
    std::size_t step_a, step_b;              // of Plan::sweep.steps
    DwellPair before, after;                 // as the unit sends them, in whole cycles
    int required, biased, too_weak, served;  // readings: required = biased + too_weak + served
    // Of served readings; 0: none. Worst error bar over its target, and with the natural field's E and H correlated:
    double error_before, error_after, correlated_before, correlated_after;
    // What allocation weighs: the part of a bar that dwell decides, over what the sensors leave of the target.
    double relaxation_before, relaxation_after;
    std::optional<Decider> decided_by;  // empty: none served
    DwellLimit set_by;
    double seconds_after, energy_wh_after;  // price of the frequency in one sweep, with settle, ramps, gaps
    double
        alternative_hz;  // nearest clean frequency (placement_rules.hpp); 0: mains and interferers are clear
    double alternative_seconds;  // what the frequency would cost there
};

struct TunedSums {
    double duration_s;         // of one sweep as the unit sends it
    double energy_wh;          // of one sweep, estimated: each step at the condition the table was made for
    double relaxation, error;  // worst over the frequencies; 0: nothing served
};

struct Tuned {
    plan::Plan plan;  // with the new dwells
    std::vector<TunedFrequency> frequencies;
    TunedSums before, after;
    double relaxation = 1;                     // common factor on the error targets that the budgets forced
    bool kept_input = false;                   // the plan's own dwells were as good
    std::optional<TunedSums> with_flat_coils;  // after, see tuned_with_flat_coils(); empty: not asked for
};

/// InputError when a frequency is not sent by exactly one step of each loop, or when even the shortest dwells
/// overrun a budget.
Tuned tune(const plan::Plan& plan, const setup::SweepSetup& setup, const TuneOptions& options);
Tuned tune(const plan::Plan& plan, const TuneOptions& options);

/// What the tuned sweep would be with flat coils (setup/receiver_of_plan.hpp): how much of the answer rests on slopes that
/// are assumed. Empty for a custom coil.
std::optional<TunedSums> tuned_with_flat_coils(const plan::Plan& plan, const TuneOptions& options);

}  // namespace ampturn::tune
