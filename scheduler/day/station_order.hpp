#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::day {

/// In which order the stations are visited. Both crews start and end at the base; between stations the
/// receiver crew is on its way, and where the next station belongs to another site the transmitter crew
/// packs up, moves and sets up again. Legs of the plan keep their times.

/// What one order costs. The measure is moving_s: everything that depends on the order.
struct OrderCost {
    double moving_s = 0;       // both crews' ways, and packing up and setting up at every site but the first
    double receiver_s = 0;     // the receiver crew's way alone
    double receiver_m = 0;     // its straight lines, to and from the base not counted
    double transmitter_s = 0;  // the transmitter crew's way alone
    int site_visits = 0;
};
/// `visit`: indices into plan.stations, each once.
OrderCost cost_of_order(const plan::Plan& plan, const std::vector<std::size_t>& visit);

inline constexpr std::size_t exact_order_stations_most = 14;

struct StationOrder {
    std::vector<std::size_t> visit;  // indices into plan.stations, each once
    bool exact = false;              // no order is shorter; else the best a local search found
    OrderCost planned, found;  // of the plan's own order, and of `visit`; found.moving_s <= planned.moving_s
};

/// The shortest order by moving_s: up to exact_order_stations_most stations by dynamic programming over sets
/// (Held & Karp 1962, J. SIAM 10, 196-210; Bellman 1962, J. ACM 9, 61-63), beyond by a local search that
/// turns stretches round (2-opt, Croes 1958, Operations Research 6, 791-812) and moves up to three neighbours
/// elsewhere (Or 1976, from memory), from the plan's own order and from the nearest neighbour's.
/// Deterministic; the plan's own order wins a tie.
StationOrder improved_order(const plan::Plan& plan);

/// The plan with its stations in that order.
plan::Plan in_order(plan::Plan plan, const std::vector<std::size_t>& visit);

}  // namespace ampturn::day
