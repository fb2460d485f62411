#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "scheduler/day/travel.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::day {

/// Whether there is still time for a sweep before the crews must be back, so that nobody walks to a station or
/// raises a mast for nothing. Seconds after local midnight of the day; a night's end lies after 86400. Stations are
/// indices into Plan::stations.

/// First moment not before t on the mark the plan's sweeps start on.
double on_mark(const plan::Plan& plan, double t);

/// From when the unit is told to start a sweep to its first current: warning, and arming before it.
double lead_before_sweep_s(const plan::Plan& plan);
inline constexpr double arm_before_go_s = 10, go_before_mark_s = 5;

/// From the end of a sweep that `stations` (one site's, in plan order) listened to until all crews are at the base: each
/// receiver crew looks at its data at the station it set up last, then packs up its stations in their order.
double way_back_s(const plan::Plan& plan, const Travel& travel, const std::vector<std::size_t>& stations,
                  const std::string& transmitter_place);

struct CrewPlace {
    double free_s;
    std::string place;
};
struct Crews {
    CrewPlace transmitter;
    std::vector<CrewPlace> receivers;  // as Plan::receiver_crews, at least one
};
/// Whether the first sweep to stations that listen together (of one site, in plan order), their crews coming from
/// where they are now, would end in time for every crew. Waits for cooling and for another battery are not foreseen.
bool first_sweep_fits(const plan::Plan& plan, const Travel& travel, double sweep_s,
                      const std::vector<std::size_t>& stations, const Crews& crews);

/// Of stations that would listen together, those with which the group is in time: one after the other in plan order,
/// each if the group still fits with it.
std::vector<std::size_t> stations_in_time(const plan::Plan& plan, const Travel& travel, double sweep_s,
                                          const std::vector<std::size_t>& stations, const Crews& crews);

}  // namespace ampturn::day
