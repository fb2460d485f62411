#pragma once

#include <optional>
#include <vector>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/day/sweep_stop.hpp"
#include "scheduler/run/unit.hpp"
#include "scheduler/setup/unit_of_plan.hpp"

namespace ampturn::day {

/// What was sent to the stations, attempt by attempt. Times are seconds after local midnight of the day; amplitudes
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

/// One attempt at a sweep, sent once for all that listen: its energy is counted once.
struct SweepOutcome {
    std::vector<int> listeners;  // indices of the stations that stood; at least one
    int site_index;
    int sweep_number;  // from 1, the same for all of them
    double start_s, end_s;
    std::optional<SweepStop> stopped_by;  // empty: sent whole
    double energy_wh;
    std::vector<StepOutcome> steps;

    bool complete() const { return !stopped_by; }
    bool heard_by(int station_index) const;
};

/// Adds what the unit did over an interval to the step of the sweep it belongs to; `zero_s` is when the unit's
/// clock started, `rows` the table that is sent.
void add_interval(SweepOutcome& sweep, const run::Interval& interval, double zero_s,
                  const std::vector<setup::TableRow>& rows);

/// How many sweeps so many stations listened to.
struct SweepsHeard {
    int sweeps, stations;  // both at least 1
};
/// Of all that was sent, whole or in part: by the number of stations, falling.
std::vector<SweepsHeard> sweeps_heard(const std::vector<SweepOutcome>& sweeps);

/// Whether this sweep of its stations was sent whole, at this attempt or another.
bool completed_in_any_attempt(const std::vector<SweepOutcome>& sweeps, const SweepOutcome& sweep);

/// Whether the batteries fell short: a sweep was never sent whole and a spent battery is why. The one rule
/// for the count of sets to carry and for the runs in which the carried ones suffice.
bool short_of_batteries(const std::vector<SweepOutcome>& sweeps);

}  // namespace ampturn::day
