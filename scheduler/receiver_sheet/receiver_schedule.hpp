#pragma once

#include <string>
#include <vector>

#include "model/loop/loop_selection.hpp"
#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/survey_setup.hpp"

/// The simulated day as a receiver crew sees it. Times are seconds after local midnight of the day; amplitudes are peak.
namespace ampturn::receiver_sheet {

/// A step as it arrives at one station.
struct ArrivingStep {
    int step_number;
    model::loop::LoopSelection loop;
    double frequency_hz;
    double start_s, dwell_s;  // of the dwell, ramps not counted
    double record_s;          // of one record (setup::sampling_for)
    int whole_records;        // that fit into the dwell
    double line_e_v;          // the larger of Ex and Ey at the converter: field times dipole
    double line_b_nt;         // the larger of Hx and Hy
    double e_snr_one_record,
        b_snr_one_record;  // powers, in one record, against the noisier channel
};

struct ListenedSweep {
    int sweep_number;  // from 1
    double start_s, end_s;
    bool whole;  // else broken off on the way
    std::vector<ArrivingStep> steps;
};

/// How much of a converter's range a station fills.
struct RangeUse {
    double peak;              // the worst step with mains and interferers, all in phase
    double full_scale;        // of the plan
    double full_scale_least;  // peak with 6 dB of room, rounded up to two digits (common practice, no source)
    bool clips() const { return peak > full_scale; }
    bool tight() const { return full_scale_least > full_scale; }
    /// How many times more gain before the converter keeps the room; 1 at most where it is tight. Rounded down.
    double gain_most() const;
};

struct ListenedStation {
    int station_index;
    double arrives_s, ready_s, leaves_s;  // set-up begins and ends; pack-up ends. NaN: never set up
    RangeUse e_v, b_nt;
    std::vector<ListenedSweep> sweeps;
    std::string not_sent;  // why nothing was sent to it; empty: something was
};

struct CrewSchedule {
    std::string name;                       // "" where the plan has one crew without a name
    std::vector<ListenedStation> stations;  // in the order of the day
};

/// A schedule a crew; a day in which nobody listens gives schedules with no sweeps.
std::vector<CrewSchedule> receiver_schedules(const plan::Plan& plan, const setup::SweepSetup& setup,
                                             const day::DayResult& day, unsigned threads = 1);

}  // namespace ampturn::receiver_sheet
