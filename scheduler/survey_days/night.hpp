#pragma once

#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/survey_days/charging.hpp"

namespace ampturn::survey_days {

/// A night of charging: at most `chargers` sets at once, the emptiest first, each until it is full; then that charger goes to
/// the emptiest that waits. What the supply can give goes to them in the order in which they were put on.

/// A battery that comes in colder than 0 C is not charged before it has warmed: it follows the place with the time constant
/// that a day's battery follows the air with. Hours; infinite where the place has 0 C.
double warm_up_h(double battery_c, double place_c);

struct SetNight {
    double evening, morning;  // states of charge
    double terminals_wh;      // put into it
    double on_charger_h;
};
struct Night {
    std::vector<SetNight> sets;  // by number
    double hours = 0;            // there were
    double waited_h = 0;         // of them, until the sets were at 0 C
    double supply_wh = 0;        // drawn from the supply
    double most_supply_w = 0;    // drawn at once
    int changes = 0;             // a charger went on to another set: someone has to be there
    bool supply_spent = false;   // it had no more watt-hours
    bool all_full = false;
};
/// `sets` and `states_of_charge`: by number. charging.hours counts, cut to `hours_most`; battery_c: as they come in.
Night charge_overnight(const plan::Charging& charging, const std::vector<ChargedSet>& sets,
                       const std::vector<double>& states_of_charge, double hours_most, double battery_c);

}  // namespace ampturn::survey_days
