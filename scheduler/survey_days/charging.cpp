#include "scheduler/survey_days/charging.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace ampturn::survey_days {

namespace {

double acceptance(const ChargeLimits& limits, double state_of_charge) {
    if (state_of_charge < limits.taper_from) return 1;
    return std::max((1 - state_of_charge) / (1 - limits.taper_from), limits.tail_share);
}

}  // namespace

ChargeLimits charge_limits(plan::Chemistry chemistry, double temperature_c) {
    const double lead_cell_v = 2.35 - 0.004 * (temperature_c - 25);
    switch (chemistry) {
        case plan::Chemistry::lead_acid_flooded:
            return {.rate_per_h = 0.15,
                    .taper_from = 0.8,
                    .tail_share = 0.1,
                    .coulombic_efficiency = 0.85,
                    .cell_v = lead_cell_v};
        case plan::Chemistry::agm:
            return {.rate_per_h = 0.25,
                    .taper_from = 0.8,
                    .tail_share = 0.1,
                    .coulombic_efficiency = 0.9,
                    .cell_v = lead_cell_v};
        case plan::Chemistry::lifepo4:
            return {.rate_per_h = 0.5 * std::clamp(0.2 + 0.08 * temperature_c, 0.2, 1.0),
                    .taper_from = 0.95,
                    .tail_share = 0.1,
                    .coulombic_efficiency = 0.99,
                    .cell_v = 3.45};
    }
    throw std::logic_error("chemistry unknown");
}

ChargedSet charged_set(const model::transmitter::BatteryBank& bank, plan::Chemistry chemistry,
                       double temperature_c) {
    const ChargeLimits limits = charge_limits(chemistry, temperature_c);
    return {.full_ah = bank.block.capacity_25c_ah * bank.parallel * bank.block.age_capacity_fraction,
            .terminals_v = limits.cell_v * bank.block.cells * bank.series,
            .limits = limits};
}

double taken_w(const ChargedSet& set, double state_of_charge, double available_w) {
    if (state_of_charge >= 1) return 0;
    return std::min(available_w, set.limits.rate_per_h * acceptance(set.limits, state_of_charge) *
                                     set.full_ah * set.terminals_v);
}

Charge after_charging(const ChargedSet& set, double state_of_charge, double available_w, double hours) {
    const ChargeLimits& limits = set.limits;
    const double charger_per_h = available_w / (set.terminals_v * set.full_ah);
    const double steady_per_h = std::min(charger_per_h, limits.rate_per_h);
    const double tail_per_h = std::min(charger_per_h, limits.rate_per_h * limits.tail_share);
    const double missing_at_taper = 1 - limits.taper_from;
    double s = state_of_charge, left_h = hours;
    const auto at_rate = [&](double per_h, double until) {
        if (s >= until || left_h <= 0 || per_h <= 0) return;
        const double speed = limits.coulombic_efficiency * per_h;
        const double needed_h = (until - s) / speed;
        s = needed_h <= left_h ? until : s + speed * left_h;
        left_h = std::max(0.0, left_h - needed_h);
    };
    // Where the set's own limit falls to what the charger gives, and where it falls no more.
    at_rate(steady_per_h,
            1 - missing_at_taper * std::max(steady_per_h / limits.rate_per_h, limits.tail_share));
    const double falling_until = 1 - missing_at_taper * limits.tail_share;
    if (s < falling_until && left_h > 0 && steady_per_h > tail_per_h) {
        const double per_h = limits.coulombic_efficiency * limits.rate_per_h / missing_at_taper;
        const double needed_h = std::log((1 - s) / (1 - falling_until)) / per_h;
        s = needed_h <= left_h ? falling_until : 1 - (1 - s) * std::exp(-per_h * left_h);
        left_h = std::max(0.0, left_h - needed_h);
    }
    at_rate(tail_per_h, 1);
    s = std::clamp(s, state_of_charge, 1.0);
    return {
        .state_of_charge = s,
        .terminals_wh = (s - state_of_charge) / limits.coulombic_efficiency * set.full_ah * set.terminals_v};
}

}  // namespace ampturn::survey_days
