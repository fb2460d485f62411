#include "scheduler/day/sweep_outcome.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>

namespace ampturn::day {

bool SweepOutcome::heard_by(int station_index) const {
    return std::find(listeners.begin(), listeners.end(), station_index) != listeners.end();
}

void add_interval(SweepOutcome& sweep, const run::Interval& interval, double zero_s,
                  const std::vector<setup::TableRow>& rows) {
    const int number = interval.progress.step_index + 1;
    std::vector<StepOutcome>& steps = sweep.steps;
    if (steps.empty() || steps.back().step_number != number)
        steps.push_back({.step_number = number,
                         .start_s = zero_s + interval.start_s,
                         .battery_lowest_v = std::numeric_limits<double>::quiet_NaN()});
    StepOutcome& step = steps.back();
    const model::transmitter::PlantResult& plant = interval.plant;
    step.energy_wh += plant.energy.battery_out_j / 3600;
    sweep.energy_wh += plant.energy.battery_out_j / 3600;
    step.winding_c = plant.end.winding_c;
    step.electronics_c = plant.end.electronics_c;
    // A battery that took itself off shows no volts, and that is not its lowest.
    if (interval.drive.on && plant.end.supplied)
        step.battery_lowest_v = std::fmin(step.battery_lowest_v, plant.end.battery_v);
    if (interval.progress.phase != core::Phase::dwell) return;
    const double span_s = interval.end_s - interval.start_s;
    const double total_s = step.dwell_s + span_s;
    const double old_share = step.dwell_s / total_s, new_share = span_s / total_s;
    const auto mean = [&](double& value, double start, double end) {
        value = value * old_share + new_share * (start + end) / 2;
    };
    mean(step.current_a_peak, plant.start.fundamental_peak_a, plant.end.fundamental_peak_a);
    mean(step.current_a_rms, plant.start.rms_a, plant.end.rms_a);
    mean(step.bus_v, plant.start.bus_v, plant.end.bus_v);
    step.moment_a_m2_peak = step.moment_a_m2_peak * old_share + plant.moment_time_a_m2_s / total_s;
    step.moment_b_a_m2_peak = step.moment_b_a_m2_peak * old_share + plant.moment_b_time_a_m2_s / total_s;
    step.dwell_s = total_s;
    step.limited_by = plant.end.limited_by;
    step.complete = step.dwell_s >= rows[static_cast<std::size_t>(number - 1)].dwell_s * (1 - 1e-4);
}

std::vector<SweepsHeard> sweeps_heard(const std::vector<SweepOutcome>& sweeps) {
    std::map<int, int, std::greater<>> by_stations;
    for (const SweepOutcome& sweep : sweeps)
        if (!sweep.steps.empty()) ++by_stations[static_cast<int>(sweep.listeners.size())];
    std::vector<SweepsHeard> out;
    for (const auto& [stations, count] : by_stations) out.push_back({.sweeps = count, .stations = stations});
    return out;
}

bool completed_in_any_attempt(const std::vector<SweepOutcome>& sweeps, const SweepOutcome& sweep) {
    return std::any_of(sweeps.begin(), sweeps.end(), [&](const SweepOutcome& other) {
        return other.complete() && other.sweep_number == sweep.sweep_number &&
               other.heard_by(sweep.listeners.front());
    });
}

bool short_of_batteries(const std::vector<SweepOutcome>& sweeps) {
    return std::any_of(sweeps.begin(), sweeps.end(), [&](const SweepOutcome& s) {
        return s.stopped_by && for_want_of_battery(*s.stopped_by) && !completed_in_any_attempt(sweeps, s);
    });
}

}  // namespace ampturn::day
