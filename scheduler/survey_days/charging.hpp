#pragma once

#include "model/transmitter/transmitter.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::survey_days {

/// How a battery set takes charge: at constant power while the charger is the limit, else at constant current, then with a
/// current that falls in proportion to what is missing, at last with a small current until it is full.
///
/// Charge in ampere-hours at the set's terminals, time in hours, state of charge 0 to 1 as battery.state_of_charge has it.

/// What a chemistry takes. Common practice, no source; the maker's data sheet decides.
struct ChargeLimits {
    double rate_per_h;            // most current over the full charge
    double taper_from;            // state of charge from which the current falls
    double tail_share;            // of rate_per_h, below which it does not fall
    double coulombic_efficiency;  // charge stored over charge put in
    double cell_v;                // while charging, mean
};
/// At the temperature of the place, 0 to 45 C: lead-acid is given 4 mV a cell and kelvin more where it is colder than 25 C,
/// lithium iron phosphate takes less below 10 C, a fifth at 0 C (common practice, no source).
ChargeLimits charge_limits(plan::Chemistry chemistry, double temperature_c);

/// One joined set on a charger.
struct ChargedSet {
    double full_ah;      // of the whole set: its total charge at 25 C as old as it is
    double terminals_v;  // while charging
    ChargeLimits limits;
};
/// `bank` is the set's own, its age included.
ChargedSet charged_set(const model::transmitter::BatteryBank& bank, plan::Chemistry chemistry,
                       double temperature_c);

/// What the set takes of `available_w` at this state of charge.
double taken_w(const ChargedSet& set, double state_of_charge, double available_w);

struct Charge {
    double state_of_charge;
    double terminals_wh;  // put in
};
/// After so many hours with `available_w` at the terminals: closed form, so that two spells are as good as one of both.
/// 0 <= state_of_charge <= 1, and never above 1 after it; available_w >= 0, hours >= 0.
///
///     ds/dt = coulombic_efficiency min(available_w / (terminals_v full_ah), rate_per_h a(s))
///     a(s) = 1 below taper_from, else max((1 - s) / (1 - taper_from), tail_share)
Charge after_charging(const ChargedSet& set, double state_of_charge, double available_w, double hours);

}  // namespace ampturn::survey_days
