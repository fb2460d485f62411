#include "scheduler/setup/unit_of_plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/base/check_range.hpp"
#include "model/transmitter/best_choice.hpp"
#include "model/transmitter/operating_point.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/run/core_loop.hpp"
#include "scheduler/run/names.hpp"
#include "scheduler/setup/refused_value.hpp"
#include "scheduler/sweep/quantize.hpp"

namespace ampturn::setup {
namespace {

std::int32_t milli(double value) { return static_cast<std::int32_t>(std::lround(1000 * value)); }

std::uint8_t flags_of(plan::Align align) {
    switch (align) {
        case plan::Align::none:
            return 0;
        case plan::Align::second:
            return core::starts_on_second;
        case plan::Align::minute:
            return core::starts_on_minute;
    }
    throw std::logic_error("alignment unknown");
}

core::Mark mark_of(plan::Align align) {
    switch (align) {
        case plan::Align::none:
            return core::Mark::none;
        case plan::Align::second:
            return core::Mark::second;
        case plan::Align::minute:
            return core::Mark::minute;
    }
    throw std::logic_error("alignment unknown");
}

/// Tap (from 0) that uses this many turns.
std::size_t tap_with(const std::vector<model::loop::LoopTap>& taps, int turns, const plan::Plan& plan,
                     const plan::Step& step) {
    for (std::size_t i = 0; i < taps.size(); ++i)
        if (taps[i].turns == turns) return i;
    throw plan.error(step.key(), fmt::format("{} turns in use", turns), "a tap of the loop");
}

struct Chosen {
    std::size_t tap;
    int capacitor;  // -1: none
};

Chosen choose(const plan::Plan& plan, const model::transmitter::Transmitter& transmitter,
              const plan::Step& step, double frequency_hz, const PlanningCondition& condition) {
    const std::vector<model::loop::LoopTap>& taps = transmitter.taps(step.loop);
    model::transmitter::DriveRequest request{
        .frequency_hz = frequency_hz, .fundamental_peak_a = step.current_a_peak, .loop = step.loop};
    if (step.turns_in_use && step.capacitor)
        return {tap_with(taps, *step.turns_in_use, plan, step), *step.capacitor - 1};
    const model::transmitter::Conditions conditions = transmitter_conditions(transmitter, condition);
    if (!step.turns_in_use && !step.capacitor) {
        const model::transmitter::BestChoice best =
            model::transmitter::best_tap_and_capacitor(transmitter, conditions, request);
        return {static_cast<std::size_t>(best.tap_index), best.capacitor_index};
    }
    // One of the two is fixed: try every value of the other.
    Chosen best{0, -1};
    double best_moment = -1;
    const int capacitors = static_cast<int>(transmitter.design.capacitors.size());
    for (std::size_t tap = 0; tap < taps.size(); ++tap) {
        if (step.turns_in_use && taps[tap].turns != *step.turns_in_use) continue;
        for (int capacitor = -1; capacitor < capacitors; ++capacitor) {
            if (step.capacitor && capacitor != *step.capacitor - 1) continue;
            request.tap_index = static_cast<int>(tap);
            request.capacitor_index = capacitor;
            const model::transmitter::OperatingPoint point =
                model::transmitter::solve_operating_point(transmitter, conditions, request, false);
            const double moment = point.moment_peak_a_m2 + point.moment_b_peak_a_m2;
            if (point.solved && moment > best_moment) {
                best_moment = moment;
                best = {tap, capacitor};
            }
        }
    }
    if (best_moment < 0)
        throw plan.error(step.key(), "no operating point with the chosen tap or capacitor",
                         "a tap of the loop the battery can drive");
    return best;
}

}  // namespace

core::Config unit_config_of(const plan::Plan& plan, const model::transmitter::Transmitter& transmitter) {
    core::Config config;
    double largest_a = 0, smallest_a = 1e9;
    for (const plan::Step& step : plan.sweep.steps) {
        largest_a = std::max(largest_a, step.current_a_peak);
        smallest_a = std::min(smallest_a, step.current_a_peak);
    }
    const plan::Thermal& thermal = plan.thermal;
    config.clock_hz = static_cast<std::uint32_t>(plan.driver.clock_hz);
    config.start_mark = mark_of(plan.sweep.start_align);
    config.warning_ms = static_cast<std::uint32_t>(milli(plan.unit.warning_s));
    config.arm_timeout_ms = static_cast<std::uint32_t>(milli(plan.unit.arm_timeout_s));
    config.over_current_ma = milli(plan.unit.over_current_factor * largest_a);
    config.shorted_loop_percent =
        std::clamp(static_cast<std::int32_t>(std::lround(100 * plan.unit.over_current_factor)), 101, 1000);
    config.open_loop_ma = std::clamp(milli(smallest_a / 20), config.current_zero_ma + 1, 200);
    config.open_loop_mohm = milli(plan.unit.open_loop_ohm);
    config.shorted_loop_mohm = milli(plan.unit.shorted_loop_ohm);
    config.under_voltage_mv = milli(plan.battery.cut_off_v);
    config.under_voltage_hysteresis_mv = milli(0.095 * plan.battery.cut_off_v);
    config.sag_debounce_ms = static_cast<std::uint32_t>(milli(plan.battery.under_voltage_delay_s));
    config.winding_limit_mdeg_c = milli(thermal.winding_limit_c);
    config.winding_restart_mdeg_c = milli(thermal.winding_limit_c - thermal.restart_margin_k);
    config.electronics_limit_mdeg_c = milli(thermal.electronics_limit_c);
    config.electronics_restart_mdeg_c = milli(thermal.electronics_limit_c - thermal.restart_margin_k);
    config.temperature_hysteresis_mdeg_c = std::min(10'000, milli(thermal.restart_margin_k));
    config.limits.divisor_max = config.clock_hz;
    config.limits.current_ma_peak_max = static_cast<std::uint32_t>(milli(largest_a));
    config.limits.taps =
        static_cast<std::uint8_t>(std::max(transmitter.taps_a.size(), transmitter.taps_b.size()));
    config.limits.capacitors = static_cast<std::uint8_t>(transmitter.design.capacitors.size());
    config.limits.quadrature = plan.driver.both_loops;
    return config;
}

model::transmitter::DriveRequest drive_request_of(const core::Step& step, std::uint64_t clock_hz) {
    return {.frequency_hz = static_cast<double>(clock_hz) / step.divisor,
            .fundamental_peak_a = 1e-3 * step.current_ma_peak,
            .loop = run::loop_of(step.loop),
            .tap_index = step.tap - 1,
            .capacitor_index = step.capacitor - 1};
}

PlannedTable table_of(const plan::Plan& plan, const model::transmitter::Transmitter& transmitter,
                      const core::Config& unit, const PlanningCondition& condition) {
    PlannedTable out{};
    out.made_for = condition;
    const std::uint64_t clock_hz = plan.driver.clock_hz;
    const model::receiver::PlacementRules placement_rules = plan::placement_rules_of(plan);
    const double record_s =
        plan.sweep.coherent_records ? plan.receiver.record_length / plan.receiver.sample_rate_hz : 0;

    std::uint64_t duration_ticks = 0;
    for (const plan::Step& step : plan.sweep.steps) {
        sweep::NearestDrive drive{};
        core::Step quantised;
        try {
            drive = sweep::nearest_drive(step.frequency_hz, clock_hz);
            quantised.cycles = sweep::dwell_cycles(step.dwell_s, drive, record_s);
            quantised.settle_ticks =
                static_cast<std::uint32_t>(sweep::ticks_at_least(step.settle_s, clock_hz, "settle_s"));
            quantised.gap_ticks =
                static_cast<std::uint32_t>(sweep::ticks_at_least(step.gap_s, clock_hz, "gap_s"));
        } catch (const model::RangeError& refused) {
            throw refused_step(plan, step, refused);
        }
        const Chosen chosen = choose(plan, transmitter, step, drive.frequency_hz, condition);
        const std::vector<model::loop::LoopTap>& taps = transmitter.taps(step.loop);
        quantised.loop = run::core_loop(step.loop);
        quantised.tap = static_cast<std::uint8_t>(chosen.tap + 1);
        quantised.capacitor = static_cast<std::uint8_t>(chosen.capacitor + 1);
        quantised.flags = flags_of(step.align);
        quantised.divisor = drive.divisor;
        quantised.current_ma_peak = static_cast<std::uint32_t>(milli(step.current_a_peak));
        quantised.ramp_cycles = static_cast<std::uint32_t>(step.ramp_cycles);
        out.table.steps[out.table.step_count++] = quantised;
        duration_ticks += core::step_length(quantised).count();

        const std::size_t number = out.rows.size() + 1;
        out.rows.push_back(
            {.step_number = static_cast<int>(number),
             .loop = step.loop,
             .turns = taps[chosen.tap].turns,
             .capacitance_f = chosen.capacitor < 0
                                  ? 0
                                  : transmitter.design.capacitors[static_cast<std::size_t>(chosen.capacitor)]
                                        .capacitance_f,
             .requested_hz = step.frequency_hz,
             .frequency_hz = drive.frequency_hz,
             .error_ppm = drive.error_ppm,
             .divisor = drive.divisor,
             .cycles = quantised.cycles,
             .dwell_s = static_cast<double>(core::dwell(quantised).count()) / static_cast<double>(clock_hz),
             .target_current_a_peak = step.current_a_peak,
             .mains_clash_order = model::receiver::mains_clash_order(placement_rules, drive.frequency_hz),
             .request = drive_request_of(quantised, clock_hz)});
    }
    const core::TableCheck verdict = core::check(out.table.used(), unit.limits, 1);
    if (verdict.reason != core::Refusal::none)
        throw plan.error(plan.sweep.steps[verdict.step_index].key(),
                         std::string(run::explain(verdict.reason)), "a table the unit accepts");

    // The table's number is the checksum of the image with number 0: the same steps carry the same number on
    // every sheet.
    std::vector<std::uint8_t> image(core::image_bytes(out.table.step_count));
    (void)core::write_image(out.table, unit.clock_hz, image);
    out.table.table_id = core::image_checksum(image);
    (void)core::write_image(out.table, unit.clock_hz, image);
    out.crc32 = base::crc32_text(core::image_checksum(image));
    out.image = std::move(image);
    out.duration_s = static_cast<double>(duration_ticks) / static_cast<double>(clock_hz);
    return out;
}

}  // namespace ampturn::setup
