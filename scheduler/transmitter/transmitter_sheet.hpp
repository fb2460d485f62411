#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/keep_out.hpp"
#include "scheduler/setup/planning_condition.hpp"

namespace ampturn::transmitter {

/// What the electrical side does at every step of the sweep: as the table has it, and the most it could do
/// within its limits. Start of the day: air of the day's first hour, battery as charged at the
/// start, winding at air temperature.

/// One operating point with what follows from it.
struct TransmitterPoint {
    int turns = 0;
    int capacitor = 0;         ///< of the bank, from 1; 0 none
    double capacitance_f = 0;  ///< 0: none
    model::transmitter::OperatingPoint point;
    double self_resonance_hz = 0;                                  ///< estimate
    std::optional<double> steady_winding_c, steady_electronics_c;  ///< sent for ever; empty: thermal runaway
    std::optional<double> steady_moment_a_m2;                      ///< once warm
    std::optional<double> limit_after_s;                           ///< first limit reached within 10 h
    std::optional<double> duty_that_holds;  ///< share of ten minutes; empty: too hot at rest
    double low_capacitance_a = 0,
           high_capacitance_a = 0;  ///< fundamental with the capacitor at -+ its tolerance
    std::optional<double> capacitor_to_50_v_s,
        capacitor_to_5_v_s;          ///< empty: no bleed resistor, or no capacitor
    double energy_j_per_a_m2_s = 0;  ///< battery energy per moment and second
};

struct TransmitterRow {
    int step_number = 0;  ///< from 1
    model::loop::LoopSelection loop = model::loop::LoopSelection::a;
    double requested_hz = 0, frequency_hz = 0;
    double target_a_peak = 0;
    TransmitterPoint chosen, best;
};

/// Largest moment against frequency for one tap, no target: untuned, with the bank's best capacitor, and with
/// a capacitor that would tune it exactly (unlimited voltage).
struct TransmitterCurve {
    int turns = 0;
    std::vector<double> frequency_hz, untuned_a_m2, bank_a_m2, tuned_a_m2;
    double current_limit_a_m2 = 0;  ///< moment at the current limit (sine), infinite without one
    std::vector<double> heat_limit_a_m2;
};

struct TransmitterSheet {
    double air_c = 0, state_of_charge = 1;
    std::string table_crc32;
    setup::PlanningCondition table_made_for{};
    std::vector<TransmitterRow> rows;
    std::vector<TransmitterCurve> curves;  ///< of loop A, by turns
    setup::KeepOut keep_out{};
    std::string exposure_levels;  // that it rests on
    double mutual_h = 0;          ///< loop A to B, all turns
    double coupling = 0;
    double over_current_trip_a_peak = 0;  ///< the unit trips above; from the table's largest current
    std::vector<std::string> remarks, cautions;
};

/// Start of the day: what the sheet's operating points are solved at.
model::transmitter::Conditions start_conditions(const plan::Plan& plan,
                                                const model::transmitter::Transmitter& transmitter);

TransmitterSheet transmitter_sheet_of(const plan::Plan& plan, bool with_curves);

/// The plan again and again with some keys changed: every value of one with every value of the others.
struct VariedSheet {
    std::vector<double> values;  ///< one a key
    TransmitterSheet sheet;
};
struct Variation {
    std::vector<std::string> keys;
    std::vector<VariedSheet> sheets;  ///< the last key varies fastest
};

}  // namespace ampturn::transmitter
