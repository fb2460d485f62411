#pragma once

#include <string>

#include "scheduler/day/travel.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::day {

/// Whether there is still time for a sweep before the crews must be back, so that nobody walks to a station or
/// raises a mast for nothing. Seconds after local midnight of the day; a night's end lies after 86400.

/// First moment not before t on the mark the plan's sweeps start on.
double on_mark(const plan::Plan& plan, double t);

/// From when the unit is told to start a sweep to its first current: warning, and arming before it.
double lead_before_sweep_s(const plan::Plan& plan);
inline constexpr double arm_before_go_s = 10, go_before_mark_s = 5;

/// From the end of a sweep until both crews are at the base.
double way_back_s(const plan::Plan& plan, const Travel& travel, int station_index,
                  const std::string& transmitter_place);

struct Crews {
    double transmitter_s, receiver_s;  // when each is free
    std::string transmitter_place, receiver_place;
};
/// Whether the first sweep to a station, its crews coming from where they are now, would end in time. Waits for
/// cooling and for another battery are not foreseen.
bool first_sweep_fits(const plan::Plan& plan, const Travel& travel, double sweep_s, int station_index,
                      const Crews& crews);

}  // namespace ampturn::day
