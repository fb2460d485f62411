#pragma once

#include <string>

#include "model/transmitter/transmitter.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/unit_of_plan.hpp"

namespace ampturn::setup {

/// Distances from any wire of the loops, for the whole sweep: the largest over the steps, harmonics summed by
/// the guideline's rule, levels as the plan chooses, current as with a rested battery and cold copper, loops one at a time.
/// The plan's margin is added. A planning aid: local law and the responsible person decide; no distance holds
/// for wearers of implants.
struct KeepOut {
    double public_m, occupational_m;
    double capacitor_peak_v;  // largest over the steps; 0 without capacitors
    double
        capacitor_to_safe_s;  // through the bleed resistor to safety.safe_capacitor_v; infinite without one
    double capacitor_to_60_v_s;  // the same to what IEC 60204-1, 6.2.4, asks for
};
/// What the distances rest on, in words: "ICNIRP 2010 and 2020 levels".
std::string exposure_levels_text(const plan::Safety& safety);
KeepOut keep_out_of(const plan::Plan& plan, const model::transmitter::Transmitter& transmitter,
                    const PlannedTable& table);

}  // namespace ampturn::setup
