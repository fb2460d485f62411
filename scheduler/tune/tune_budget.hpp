#pragma once

#include <optional>
#include <vector>

#include "scheduler/tune/dwell_allocation.hpp"

namespace ampturn::tune {

/// The allocation over all frequencies under budgets. Deterministic: bisections run down to 1e-12 of their interval.

struct AllocationItem {
    std::vector<DwellRequirement> requirements;  // each can be met within the bounds
    DwellBounds bounds;
    double watts_a, watts_b;  // while sending; > 0
    /// Nominal dwells a step can have: whole multiples of these, rounded up.
    double quantum_a_s, quantum_b_s;
};

struct AllocationBudget {
    std::optional<double> time_s, energy_j;  // for all dwells together
};

struct Allocation {
    std::vector<DwellPair> dwells;  // item by item, rounded up to whole quanta
    double relaxation;              // 1: targets met
};

/// `energy_first`: energy is made small, else time. Empty when even the lower bounds overrun a budget.
std::optional<Allocation> allocate(const std::vector<AllocationItem>& items, const AllocationBudget& budget,
                                   bool energy_first);

double time_of(const std::vector<DwellPair>& dwells);
double energy_of(const std::vector<AllocationItem>& items, const std::vector<DwellPair>& dwells);
double rounded_up(double seconds, double quantum_s);

}  // namespace ampturn::tune
