#include "scheduler/setup/step_rise.hpp"

#include <algorithm>

#include "model/bridge/stepped_rise.hpp"
#include "scheduler/core/table.hpp"

namespace ampturn::setup {

namespace {

constexpr int longest_ramp_cycles = 60'000;

/// As the unit's core spreads them.
std::vector<model::bridge::RiseLevel> levels_of(int ramp_cycles) {
    const int count = std::min(ramp_cycles, static_cast<int>(core::ramp_segments_max));
    std::vector<model::bridge::RiseLevel> levels;
    for (int n = 0; n < count; ++n)
        levels.push_back({(n + 1.0) / (count + 1), (n + 1) * ramp_cycles / count - n * ramp_cycles / count});
    return levels;
}

/// What a step drives, and what it may come to.
struct Driven {
    int step_number;
    model::bridge::BridgeLoad load;
    model::bridge::BridgeVoltage drive;
    double rated_v = model::transmitter::no_limit;
};

std::vector<Driven> driven_by(const SweepSetup& setup) {
    std::vector<Driven> out;
    const model::transmitter::Conditions at = transmitter_conditions(setup.transmitter, setup.table.made_for);
    for (const TableRow& row : setup.table.rows) {
        const auto point =
            model::transmitter::solve_operating_point(setup.transmitter, at, row.request, false);
        if (!point.solved || !(point.current.peak_a > 0)) continue;
        Driven driven{
            .step_number = row.step_number,
            .load = {.resistance_ohm = point.total_resistance_ohm, .inductance_h = point.loop_inductance_h},
            .drive = {.frequency_hz = row.frequency_hz, .bus_v = point.bus_v, .duty = point.duty}};
        if (row.request.capacitor_index >= 0) {
            const auto& capacitor =
                setup.transmitter.design.capacitors[static_cast<std::size_t>(row.request.capacitor_index)];
            driven.load.capacitance_f = capacitor.capacitance_f;
            driven.rated_v = capacitor.rated_peak_v;
        }
        out.push_back(driven);
    }
    return out;
}

RiseOverLimit rise_of(const Driven& driven, int ramp_cycles, double trip_a) {
    const auto peaks = model::bridge::rise_peaks(driven.load, driven.drive, levels_of(ramp_cycles));
    return {.step_number = driven.step_number,
            .frequency_hz = driven.drive.frequency_hz,
            .peak_a = peaks.peak_a,
            .capacitor_peak_v = peaks.capacitor_peak_v,
            .trips = peaks.peak_a > trip_a,
            .over_rating = peaks.capacitor_peak_v > driven.rated_v};
}

}  // namespace

RisesOverLimit rises_over_limit(const plan::Plan& plan, const SweepSetup& setup) {
    RisesOverLimit out;
    if (setup.transmitter.design.driver.control != model::bridge::CurrentControl::duty) return out;
    const std::vector<Driven> steps = driven_by(setup);
    const double trip_a = setup.unit.over_current_ma / 1000.0;
    for (const Driven& driven : steps) {
        const plan::Step& step = plan.sweep.steps[static_cast<std::size_t>(driven.step_number - 1)];
        const RiseOverLimit rise = rise_of(driven, step.ramp_cycles, trip_a);
        if (rise.trips || rise.over_rating) out.steps.push_back(rise);
    }
    if (out.steps.empty()) return out;
    for (int cycles = 1; cycles <= longest_ramp_cycles && !out.mending_cycles; cycles *= 2)
        if (std::none_of(steps.begin(), steps.end(), [&](const Driven& driven) {
                const RiseOverLimit rise = rise_of(driven, cycles, trip_a);
                return rise.trips || rise.over_rating;
            }))
            out.mending_cycles = cycles;
    return out;
}

}  // namespace ampturn::setup
