#include "scheduler/run/sweep_replay.hpp"

#include <algorithm>
#include <cmath>

#include "scheduler/run/core_loop.hpp"

namespace ampturn::run {
namespace {

using model::transmitter::Flow;
using model::transmitter::Moving;
using model::transmitter::PlantFlow;
using model::transmitter::PlantReadings;
using model::transmitter::PlantResult;
using model::transmitter::PlantState;

constexpr double longest_step_s = 20;
constexpr double ramp_alike_factor = 100;  // of PlantFlow::alike
constexpr double clear_of_voltage_mv =
    100;  // 20 times the noise of a reading, 50 times the error of a replay
constexpr double clear_of_current = 1.05;
constexpr double clear_of_temperature_k = 3;

bool is_ramp(const core::Progress& progress) {
    return progress.phase == core::Phase::ramp_up || progress.phase == core::Phase::ramp_down;
}

/// Readings when the flow of the middle has gone on to `m`: the power stays, the battery's volts follow its charge.
PlantReadings readings_at(const PlantFlow& plant, const Moving& m, const Flow& flow) {
    const model::transmitter::BatterySource source = plant.source(m.charge);
    const auto current_a = plant.connected() && flow.deliverable
                               ? constant_power_current_a(source, flow.power.battery_w)
                               : std::nullopt;
    if (!current_a) return plant.readings(m, flow);
    Flow there = flow;
    there.battery_a = *current_a;
    there.battery_v = source.ocv_v - source.resistance_ohm * *current_a;
    there.cutoff_margin_v = there.battery_v - source.cutoff_v;
    return plant.readings(m, there);
}

}  // namespace

void SweepPattern::add(const Interval& interval) {
    const double span_s = interval.end_s - interval.start_s;
    const double amplitude = interval.drive.on ? interval.drive.amplitude_q16 / 65536.0 : 0;
    if (!pieces_.empty()) {
        Piece& last = pieces_.back();
        // Between two steps nothing is sent, whatever the core waits for: it counts to the one that was.
        const bool both_off = !last.drive.on && !interval.drive.on;
        const bool same = last.state == interval.state && last.drive.on && interval.drive.on &&
                          last.progress.step_index == interval.progress.step_index &&
                          last.progress.phase == interval.progress.phase;
        if (both_off || (same && (is_ramp(interval.progress) || interval.drive == last.drive))) {
            const double total_s = last.span_s + span_s;
            last.mean_square_amplitude =
                (last.mean_square_amplitude * last.span_s + amplitude * amplitude * span_s) / total_s;
            last.span_s = total_s;
            return;
        }
    }
    pieces_.push_back({interval.state, interval.drive, interval.progress, span_s, amplitude * amplitude});
}

bool SweepReplay::far_from_trips(const PlantReadings& end, const SweepPattern::Piece& piece) const {
    const core::Config& c = config_;
    if (!end.supplied || end.no_operating_point || end.below_cutoff || end.soc_available < 0.02) return false;
    if (1e3 * end.battery_v < c.under_voltage_mv + clear_of_voltage_mv) return false;
    if (piece.drive.on && c.bus_low_mv > 0 && 1e3 * end.bus_v < c.bus_low_mv + clear_of_voltage_mv)
        return false;
    if (end.winding_c > 1e-3 * c.winding_limit_mdeg_c - clear_of_temperature_k ||
        end.electronics_c > 1e-3 * c.electronics_limit_mdeg_c - clear_of_temperature_k)
        return false;
    if (!piece.drive.on || piece.progress.phase != core::Phase::dwell) return true;
    const bool both = loop_of(piece.drive.selection.loop) == model::loop::LoopSelection::both;
    for (const double peak_a :
         {end.fundamental_peak_a, both ? end.fundamental_b_peak_a : end.fundamental_peak_a,
          end.idle_fundamental_peak_a})
        if (1e3 * peak_a * clear_of_current > c.over_current_ma) return false;
    const double least_a =
        both ? std::min(end.fundamental_peak_a, end.fundamental_b_peak_a) : end.fundamental_peak_a;
    return 1e3 * least_a > clear_of_current * c.open_loop_ma;
}

std::optional<ReplayedSweep> SweepReplay::replay(const Unit& unit, const ReplayStart& start) {
    const core::Table& table = unit.core().table();
    ReplayedSweep out{.intervals = {}, .end = unit.plant(), .end_s = start.now_s};
    out.intervals.reserve(pattern_.pieces().size() + 1);
    PlantState& state = out.end;
    Moving m{state.charge, state.winding_c, state.electronics_c};
    // One piece: false when a limit is near.
    const auto go = [&](const SweepPattern::Piece& piece, Kept& kept) {
        const double ambient_c = start.ambient_c(out.end_s), battery_c = start.battery_c(out.end_s);
        model::transmitter::Drive drive =
            drive_of(piece.drive, table.steps[piece.progress.step_index], unit.ticks_per_s());
        drive.ambient_c = ambient_c;
        drive.battery_ambient_c = battery_c;
        if (is_ramp(piece.progress)) drive.amplitude_fraction = std::sqrt(piece.mean_square_amplitude);
        const PlantFlow plant(unit.transmitter(), state, drive);
        PlantResult result;
        for (double left_s = piece.span_s; left_s > 0;) {
            const double step_s = std::min(left_s, longest_step_s);
            if (!piece.drive.on) {
                kept = {plant.flow(m), m};
            } else if (is_ramp(piece.progress)) {
                if (!kept.flow || !plant.alike(kept.at, kept.flow->battery, m, ramp_alike_factor))
                    kept = {plant.flow(m), m};
            } else {
                // What flowed in this step last time leads to its middle.
                const Moving middle = plant.after(m, kept.flow ? *kept.flow : plant.flow(m), step_s / 2);
                kept = {plant.flow(middle), middle};
            }
            // Means over a dwell want both ends.
            if (result.advanced_s == 0 && piece.progress.phase == core::Phase::dwell)
                result.start = readings_at(plant, m, *kept.flow);
            add_flow(result, *kept.flow, step_s);
            m = plant.after(m, *kept.flow, step_s);
            result.advanced_s += step_s;
            left_s -= step_s;
        }
        result.end = readings_at(plant, m, *kept.flow);
        if (piece.progress.phase != core::Phase::dwell) result.start = result.end;
        if (!far_from_trips(result.end, piece)) return false;
        const double end_s = out.end_s + piece.span_s;
        out.intervals.push_back({.from = unit.instant_at(out.end_s),
                                 .to = unit.instant_at(end_s),
                                 .start_s = out.end_s,
                                 .end_s = end_s,
                                 .state = piece.state,
                                 .drive = piece.drive,
                                 .progress = piece.progress,
                                 .plant = result});
        out.end_s = end_s;
        return true;
    };
    Kept idle;
    if (start.first_step_s > start.now_s) {
        const SweepPattern::Piece waiting{.state = unit.core().state(),
                                          .drive = {},
                                          .progress = {},
                                          .span_s = start.first_step_s - start.now_s,
                                          .mean_square_amplitude = 0};
        if (!go(waiting, idle)) return std::nullopt;
    }
    // To be armed it has to be cool.
    if (std::max(m.winding_c[0], m.winding_c[1]) >
            1e-3 * config_.winding_restart_mdeg_c - clear_of_temperature_k ||
        m.electronics_c > 1e-3 * config_.electronics_restart_mdeg_c - clear_of_temperature_k)
        return std::nullopt;
    for (std::size_t i = 0; i < pattern_.pieces().size(); ++i)
        if (!go(pattern_.pieces()[i], kept_[i])) return std::nullopt;
    state.charge = m.charge;
    state.winding_c = m.winding_c;
    state.electronics_c = m.electronics_c;
    return out;
}

}  // namespace ampturn::run
