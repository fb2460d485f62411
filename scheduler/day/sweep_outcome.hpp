#pragma once

#include <optional>
#include <vector>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/day/sweep_stop.hpp"

namespace ampturn::day {

/// What was sent to a station, attempt by attempt. Times are seconds after local midnight of the day; amplitudes
/// are peak unless the name says rms.

/// One step as it was sent in one sweep.
struct StepOutcome {
    int step_number;
    double start_s, dwell_s;  // dwell really sent, ramps not counted
    double current_a_peak;    // fundamental, mean over the dwell
    double current_a_rms;
    double moment_a_m2_peak;    // loop A where both send
    double moment_b_a_m2_peak;  // loop B where both send, else 0
    double energy_wh;           // taken from the battery, ramps included
    double bus_v, battery_lowest_v;
    double winding_c, electronics_c;  // at the end
    std::optional<model::transmitter::Limit>
        limited_by;  // what kept the current where it is; empty: no dwell
    bool complete;
};

/// One attempt at a sweep of a station.
struct SweepOutcome {
    int station_index, site_index;
    int sweep_number;  // from 1, of this station
    double start_s, end_s;
    std::optional<SweepStop> stopped_by;  // empty: sent whole
    double energy_wh;
    std::vector<StepOutcome> steps;

    bool complete() const { return !stopped_by; }
};

/// Whether this sweep of its station was sent whole, at this attempt or another.
bool completed_in_any_attempt(const std::vector<SweepOutcome>& sweeps, const SweepOutcome& sweep);

/// Whether the batteries fell short: a sweep was never sent whole and a spent battery is why. The one rule
/// for the count of sets to carry and for the runs in which the carried ones suffice.
bool short_of_batteries(const std::vector<SweepOutcome>& sweeps);

}  // namespace ampturn::day
