#pragma once

#include "scheduler/order/crew_day.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::order {

/// Which crew sets up which station, in which order, and so which stations listen together: all three at once, for a plan
/// with receiver crews. What counts is, in this order, when the last crew is back, how many sweeps are sent, and the hours
/// of all persons (CrewDay).

/// Arrangements that are all tried: of sites visited once each, of every station given to every crew, in every order.
inline constexpr double exact_arrangements_most = 200'000;
/// How many there are; may be infinite.
double arrangements_of(const plan::Plan& plan);

struct CrewOrder {
    plan::Plan
        plan;        // stations in the order found, with their crews; the plan as it was where none is better
    bool unchanged;  // none is better
    bool exact;  // no arrangement that visits each site once is better; else the best a local search found
    CrewDay planned, found;
    CrewBound bound;  // what none can be below
};

/// sweep_s: one sweep, settle, ramps, dwells and gaps of every step; > 0. All arrangements up to
/// exact_arrangements_most, beyond them a descent by steps (a station elsewhere or with another crew, two stations for each
/// other, two sites for each other) from the plan's own and from stations dealt out to the crews by their bearing from the
/// site. Deterministic; the plan's own wins a tie, and nothing worse than it is ever found.
CrewOrder improved_crew_order(const plan::Plan& plan, double sweep_s);

}  // namespace ampturn::order
