#pragma once

#include <vector>

#include "model/transmitter/transmitter.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/unit_of_plan.hpp"

namespace ampturn::setup {

/// What a step of the table gives under the condition the table was made for. The day itself is simulated;
/// this is for comparing offsets and dwells.
struct PlannedOutput {
    int step_number;  // from 1
    model::loop::LoopSelection loop;
    double frequency_hz;        // as the clock gives it
    double moment_a_m2_peak;    // loop A where both send
    double moment_b_a_m2_peak;  // loop B where both send, else 0
    double current_a_rms;       // the larger where both send
    double battery_w;           // while sending
    bool solved;                // false: the battery cannot deliver it; the rest is zero
    /// Until winding or electronics pass their limit, sending without pause from this temperature; infinite
    /// when they never do.
    double heat_limit_s;
};
std::vector<PlannedOutput> planned_outputs(const model::transmitter::Transmitter& transmitter,
                                           const PlannedTable& table);

}  // namespace ampturn::setup
