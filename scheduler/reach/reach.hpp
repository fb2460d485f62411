#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/reach/offset_intervals.hpp"
#include "scheduler/reading/offset_fields.hpp"
#include "scheduler/setup/planning_condition.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reach {

/// How far from a transmitter site a station may be: for each frequency and direction the offsets where the
/// field is plane-wave within the plan's tolerances (far field), those where signal to noise suffices for its error targets
/// with the dwells of the table, and those that are both.
///
/// Point dipoles at the loops' centres (see offset_fields.hpp), planning outputs (planned_output.hpp), noise
/// of the hour at a station with nothing of its own. The dots of stations that have a ground, sensors or noise of their own
/// are judged by the window these make in their sector. Offsets are sampled at most 2 % apart; an
/// interval narrower than that is not seen.

struct ReachOptions {
    int site_index = 0;
    int sector_count = 6;     // over 180 degrees: a dipole's field is the same in the opposite direction
    double offset_min_m = 0;  // 0: five times the larger loop's half width, at least 20 m
    double offset_max_m = 0;  // 0: 10 km
    int hour = -1;            // local, for the natural field; -1: the middle of the plan's day
    unsigned threads = 1;     // results do not depend on it
    /// Of the fields; ratios are judged to per cents, and a tighter one changes no verdict.
    double field_tolerance_rel = reading::OffsetFields::search_tolerance_rel;
};

/// Bearings from the site; `also_opposite`: the sector stands for from + 180 to to + 180 too (upright loops).
struct Sector {
    double from_deg, to_deg;
    bool also_opposite;
};

/// What would open a window where there is none. Each alone; infinite where it cannot.
struct Remedy {
    double moment_factor;  // at the far-field offset that needs the least
    double dwell_factor;   // the square of it: the same by longer dwells of both loops
    double moment_at_m;
    double
        tolerance_factor;  // bias to accept over the plan's tolerance, at the best of the offsets with enough signal
    double tolerance_at_m;
    std::vector<plan::NaturalNoise> natural_levels;  // hours as quiet as one of these would do
    std::vector<int> hours;  // local hours the plan expects to be so (noise.natural_by_hour)
};

struct ReachCell {
    std::vector<OffsetInterval> far_field, sufficient_snr, usable;  // rising; the whole sector fulfils them
    std::optional<Remedy> opening;                                  // only if usable is empty
};

/// One frequency, sector by sector.
struct ReachFrequency {
    double frequency_hz;
    double dwell_a_s, dwell_b_s, moment_a_a_m2, moment_b_a_m2;
    double plane_resistivity_ohm_m, skin_depth_m, rule_of_thumb_m;
    double natural_signal_sd_percent;  // of a sounding from the natural field alone, recorded as long
    std::vector<ReachCell> sectors;
    ReachCell all_directions;  // worst of all sectors
};

struct ReachStation {
    std::string name;
    double offset_m, bearing_deg;
    int sector_index;
    std::vector<bool> in_window;  // frequency by frequency
};

struct Reach {
    std::string plan_path, survey_name, site_name;
    bool invented;
    double offset_min_m, offset_max_m;
    int hour;
    bool noise_by_hour;             // the plan's natural field changes through the day
    double day_start_s, day_end_s;  // of the plan's working day
    plan::Targets targets;
    setup::PlanningCondition table_made_for;  // at which moments are quoted
    std::vector<Sector> sectors;
    std::vector<ReachFrequency> frequencies;  // in the order of the table
    std::vector<ReachStation> stations;       // those of this site
};

/// InputError when an option is out of range: sectors 1 to 36, offsets 20 m to 19 km and rising, hour 0 to 23.
Reach reach_of(const plan::Plan& plan, const ReachOptions& options);
/// The same with what follows from the plan made before, perhaps over another ground: that of `setup`.
Reach reach_over(const plan::Plan& plan, const setup::SweepSetup& setup, const ReachOptions& options);

/// Where the far field begins for planning: from there on the bias stays within tolerance up to the far end;
/// empty when it does not there.
std::optional<double> far_field_from_m(const ReachCell& cell, double offset_max_m);
/// Farthest offset with enough signal; empty when there is none.
std::optional<double> sufficient_snr_to_m(const ReachCell& cell);

}  // namespace ampturn::reach
