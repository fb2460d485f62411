#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "scheduler/core/time.hpp"

namespace ampturn::core {

inline constexpr std::size_t steps_max = 64;
inline constexpr std::uint32_t ramp_segments_max = 8;  ///< a ramp has at most this many amplitude levels

/// Which loop the power stage feeds. `none`: every relay open.
enum class Loop : std::uint8_t { none = 0, a = 1, b = 2, both_in_quadrature = 3 };

/// What the relays connect. One value, so two selections at once cannot be expressed.
struct Selection {
    Loop loop = Loop::none;
    std::uint8_t tap = 0;        ///< turns in use are tap's; 1 = first tap; 0 only with Loop::none
    std::uint8_t capacitor = 0;  ///< series capacitor, 1 = first; 0 = none
    constexpr bool operator==(const Selection&) const = default;
};

/// Bits of Step::flags. At most one of the two.
enum StepFlag : std::uint8_t {
    starts_on_second = 1,  ///< the step waits for the next whole UTC second
    starts_on_minute = 2,  ///< the step waits for the next whole UTC minute
};

/// One step of a sweep: select (relays settle) -> ramp up -> dwell -> ramp down -> gap.
/// Drive frequency = clock_hz / divisor; ramps and dwell are whole cycles, so the loop sees no net DC.
struct Step {
    Loop loop = Loop::a;
    std::uint8_t tap = 1;
    std::uint8_t capacitor = 0;
    std::uint8_t flags = 0;
    std::uint32_t divisor = 0;          ///< even, >= 2: half a period is a whole number of ticks
    std::uint32_t cycles = 0;           ///< dwell at full amplitude, >= 1
    std::uint32_t current_ma_peak = 0;  ///< target, peak of the fundamental, 1 to Limits::current_ma_peak_max
    std::uint32_t ramp_cycles = 1;      ///< up, and again down; 1 to ramp_cycles_max
    std::uint32_t settle_ticks = 480'000;  ///< relays settle; 20 ms at 24 MHz (common practice, no source)
    std::uint32_t gap_ticks = 240'000;     ///< after the ramp down, power stage off; 10 ms at 24 MHz

    constexpr bool operator==(const Step&) const = default;
    constexpr Selection selection() const { return {loop, tap, capacitor}; }
};

inline constexpr std::uint32_t ramp_cycles_max = 1'000'000;
inline constexpr std::uint32_t current_ma_peak_limit = 1'000'000;

/// A sweep table: the first step_count of `steps`, run sweep_count times.
struct Table {
    std::uint32_t table_id = 0;     ///< the owner's number; printed on field sheets
    std::uint16_t sweep_count = 1;  ///< >= 1
    std::uint16_t step_count = 0;   ///< 1 to steps_max
    std::array<Step, steps_max> steps{};

    std::span<const Step> used() const {
        return std::span{steps}.first(step_count <= steps_max ? step_count : steps_max);
    }
    bool operator==(const Table& other) const;
};

/// What this unit can do; a step outside is refused.
struct Limits {
    std::uint32_t divisor_min = 2;
    std::uint32_t divisor_max = 24'000'000;  ///< 1 Hz at 24 MHz
    std::uint32_t current_ma_peak_max = 40'000;
    std::uint8_t taps = 8;          ///< taps 1..taps exist
    std::uint8_t capacitors = 32;   ///< capacitors 1..capacitors exist
    std::uint8_t loops_fitted = 3;  ///< bit 0 loop A, bit 1 loop B
    bool quadrature = true;         ///< the driver can feed both loops in quadrature
    std::uint32_t settle_ticks_min =
        240'000;                           ///< where the selection changes; more than the relay break time
    std::uint32_t gap_ticks_min = 24'000;  ///< before a selection change: current is measured to be zero
};

/// Why a table or an image is refused: the first reason found, in the order of the enumerators.
enum class Refusal : std::uint8_t {
    none = 0,
    busy,             ///< armed, warning, sending or stopping: the table cannot be changed now
    too_short,        ///< fewer bytes than a header and a checksum
    not_a_table,      ///< the first four bytes are not those of an image
    unknown_version,  ///< written in a version of the layout this core does not know
    wrong_length,  ///< the length field differs from the number of bytes given, or is more than a full table
    damaged,       ///< checksum
    other_clock,   ///< made for another clock frequency
    no_steps,
    too_many_steps,
    no_sweeps,
    reserved_not_zero,
    count_and_length_differ,  ///< the step count does not fill the length
    unknown_loop,
    loop_not_fitted,
    quadrature_not_possible,
    unknown_tap,
    unknown_capacitor,
    unknown_flag,
    odd_divisor,
    divisor_out_of_range,
    no_cycles,
    no_current,
    too_much_current,
    no_ramp,
    ramp_too_long,
    settle_too_short,  ///< the selection changes, and settle_ticks < Limits::settle_ticks_min
    gap_too_short,     ///< the next step changes the selection, and gap_ticks < Limits::gap_ticks_min
    dwell_too_long,    ///< cycles * divisor >= 2^48 ticks: 135 days at 24 MHz
};
inline constexpr std::size_t refusal_count = 29;

/// Result of a check: the first reason and the step it was found in (0 = first; meaningless for whole-table
/// reasons).
struct TableCheck {
    Refusal reason = Refusal::none;
    std::uint8_t step_index = 0;
    constexpr bool operator==(const TableCheck&) const = default;
};

/// Checks the fields of one step by itself.
constexpr Refusal check_step(const Step& step, const Limits& limits) {
    if (step.loop == Loop::none || step.loop > Loop::both_in_quadrature) return Refusal::unknown_loop;
    const auto wanted = static_cast<std::uint8_t>(step.loop);
    if ((wanted & limits.loops_fitted) != wanted) return Refusal::loop_not_fitted;
    if (step.loop == Loop::both_in_quadrature && !limits.quadrature) return Refusal::quadrature_not_possible;
    if (step.tap == 0 || step.tap > limits.taps) return Refusal::unknown_tap;
    if (step.capacitor > limits.capacitors) return Refusal::unknown_capacitor;
    if (step.flags > starts_on_minute) return Refusal::unknown_flag;
    if (step.divisor % 2 != 0) return Refusal::odd_divisor;
    if (step.divisor < 2 || step.divisor < limits.divisor_min || step.divisor > limits.divisor_max)
        return Refusal::divisor_out_of_range;
    if (step.cycles == 0) return Refusal::no_cycles;
    if (step.current_ma_peak == 0) return Refusal::no_current;
    if (step.current_ma_peak > limits.current_ma_peak_max || step.current_ma_peak > current_ma_peak_limit)
        return Refusal::too_much_current;
    if (step.ramp_cycles == 0) return Refusal::no_ramp;
    if (step.ramp_cycles > ramp_cycles_max) return Refusal::ramp_too_long;
    if (((std::uint64_t{step.cycles} * step.divisor) >> 48) != 0) return Refusal::dwell_too_long;
    return Refusal::none;
}

/// Checks a step between its neighbours. `before`: what was selected until now (none for the first step, because a
/// sweep may start from open relays); `after`: what the next step selects, its own selection if there is none.
constexpr Refusal check_order(const Step& step, Selection before, Selection after, const Limits& limits) {
    if (step.selection() != before && step.settle_ticks < limits.settle_ticks_min)
        return Refusal::settle_too_short;
    if (step.selection() != after && step.gap_ticks < limits.gap_ticks_min) return Refusal::gap_too_short;
    return Refusal::none;
}

/// Checks a list of steps in the order it will be run, with more than one sweep from the last to the first
/// too.
constexpr TableCheck check(std::span<const Step> steps, const Limits& limits = {},
                           std::uint32_t sweep_count = 1) {
    if (steps.empty()) return {Refusal::no_steps, 0};
    if (steps.size() > steps_max) return {Refusal::too_many_steps, 0};
    if (sweep_count == 0) return {Refusal::no_sweeps, 0};
    Selection before;
    for (std::size_t i = 0; i < steps.size(); ++i) {
        const bool last = i + 1 == steps.size();
        const Selection after =
            !last ? steps[i + 1].selection() : (sweep_count > 1 ? steps[0] : steps[i]).selection();
        Refusal reason = check_step(steps[i], limits);
        if (reason == Refusal::none) reason = check_order(steps[i], before, after, limits);
        if (reason != Refusal::none) return {reason, static_cast<std::uint8_t>(i)};
        before = steps[i].selection();
    }
    return {};
}

/// Length of the dwell, exactly.
constexpr Ticks dwell(const Step& step) { return Ticks{std::uint64_t{step.cycles} * step.divisor}; }
/// Length of one ramp, exactly.
constexpr Ticks ramp(const Step& step) { return Ticks{std::uint64_t{step.ramp_cycles} * step.divisor}; }
/// From one step's start to the next one's, exactly (without waiting for a UTC mark).
constexpr Ticks step_length(const Step& step) {
    return Ticks{step.settle_ticks} + ramp(step) + dwell(step) + ramp(step) + Ticks{step.gap_ticks};
}

}  // namespace ampturn::core
