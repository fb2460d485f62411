#pragma once

#include <string>
#include <vector>

#include "model/transmitter/transmitter.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/unit_of_plan.hpp"

namespace ampturn::setup {

enum class ExposureField { magnetic, electric };
const char* name_of(ExposureField field);

/// Distances from any wire of the loops and their leads, for the whole sweep: the largest over the steps, harmonics
/// summed by the guideline's rule, levels as the plan chooses (the electric field's: ICNIRP 2010), current as with a rested battery and cold copper; where both loops
/// carry current, their fields added by size. The farther of the magnetic and the electric field's distances decides.
/// The electric one takes the whole bundle at the volts to ground of its far end, the bridge's volts included, open
/// turns beyond the tap in proportion to the turns (model/loop/electric_exposure.hpp); the leads are at no more volts
/// and nearer the ground, which lessens their field.
/// The plan's margin is added. A planning aid: local law and the responsible person decide; no distance holds
/// for wearers of implants.
struct KeepOut {
    double public_m, occupational_m;
    // What each field asks by itself, margin included, and which one decides.
    double magnetic_public_m, magnetic_occupational_m, electric_public_m, electric_occupational_m;
    double
        loop_to_ground_v_rms;  // largest of the steps, all harmonics, of the bundle's far end or its open turns
    ExposureField public_decided_by() const {
        return electric_public_m > magnetic_public_m ? ExposureField::electric : ExposureField::magnetic;
    }
    ExposureField occupational_decided_by() const {
        return electric_occupational_m > magnetic_occupational_m ? ExposureField::electric
                                                                 : ExposureField::magnetic;
    }
    double capacitor_peak_v;  // largest over the steps; 0 without capacitors
    double
        capacitor_to_safe_s;  // through the bleed resistor to safety.safe_capacitor_v; infinite without one
    double capacitor_to_60_v_s;  // the same to what IEC 60204-1, 6.2.4, asks for
};
/// Volts to ground, rms, of the far end of a bundle or of its open turns, a harmonic each: the bridge's at full drive and
/// |Z| I of the loop, by all turns over those in use. `taps` are the loop's, the last with all turns.
std::vector<double> bundle_volts_rms(const std::vector<model::loop::LoopTap>& taps,
                                     const model::loop::LoopTap& tap, double winding_c,
                                     const model::bridge::BridgeCurrent& current, double bus_v,
                                     double frequency_hz);

/// What the magnetic distances rest on, in words: "ICNIRP 2010 and 2020 levels".
std::string exposure_levels_text(const plan::Safety& safety);

KeepOut keep_out_of(const plan::Plan& plan, const model::transmitter::Transmitter& transmitter,
                    const PlannedTable& table);

}  // namespace ampturn::setup
