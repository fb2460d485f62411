#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/run/sweep_replay.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::day {

/// A battery follows the air around it with this time constant: some 20 kg of lead in a case; no source.
inline constexpr double battery_time_constant_s = 5 * 3600.0;

/// What happened through a day: crews on their way, the unit run second by second.
struct DayRun {
    std::vector<TimelineEntry> timeline;  // by start
    std::vector<SweepOutcome> sweeps;     // in the order sent; those never sent carry the reason
    std::vector<BatterySample> battery_trace;
    std::vector<BatteryUse> batteries;  // those connected, in order
    double end_s = 0;
    double person_hours = 0;               // all crews, each from the start until it is back
    std::vector<double> receivers_back_s;  // by crew; NaN: it sets up no station and stays at the base
    bool completed = false;
};

/// The battery in use over one interval of the run while it is connected.
struct BatteryInterval {
    double from_s, to_s;  // local time of day
    double terminal_start_v, terminal_end_v;
    double charge_start_fraction, charge_end_fraction;  // all charge, of that usable at its temperature
};

struct DayRunOptions {
    std::uint64_t seed = 1;
    int sets_available = 1;                                       // usually plan.battery.sets_carried
    bool trace = true;                                            // keep battery_trace and timeline
    std::function<void(const BatteryInterval&)> on_battery = {};  // each interval, in order of time
    run::SweepPattern* keep_pattern = nullptr;                    // gets that of the first sweep sent whole
    /// Sweeps far from every limit are taken over from it instead of being sent by the sequencer; the unit meanwhile looks at
    /// its battery every minute, not every half.
    const run::SweepPattern* pattern = nullptr;
};

/// Runs the day on the real sequencer against the plant, in virtual time. The crews work side by side: the
/// transmitter's sets up at a site and stays until its stations are done; each receiver crew walks from station
/// to station, with as many standing at once as it has sensor sets. Stations listen in groups
/// (plan/listening_groups.hpp): a sweep starts when all of a group and the transmitter are ready, on the plan's mark.
/// Stations with which the group would be late are left off (time_left.hpp). At under-voltage the set is swapped if
/// the rule allows and a set is left, and the sweep starts afresh; else the day is over for the transmitter.
///
/// Assumptions: the battery's own protection lies at 90 % of the cut-off (the unit's trip comes first); a
/// battery follows the air (battery_time_constant_s) unless the plan says at what temperature it is kept.
DayRun run_day(const plan::Plan& plan, const setup::SweepSetup& setup, const DayRunOptions& options);

}  // namespace ampturn::day
