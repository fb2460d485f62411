#pragma once

#include <cstdint>

#include "scheduler/core/table.hpp"
#include "scheduler/core/time.hpp"

namespace ampturn::core {

/// The UTC mark a sweep's start waits for (receiver crews log on the minute).
enum class Mark : std::uint8_t { none = 0, second = 1, minute = 2 };

/// Settings of one unit. Every default is common practice, no source, unless it says otherwise.
struct Config {
    std::uint32_t clock_hz = 24'000'000;  ///< 100 kHz to 100 MHz
    std::int32_t clock_error_ppb = 0;     ///< known error, + = fast; -1 000 000 to 1 000 000 (1000 ppm)
    Mark start_mark = Mark::none;

    std::uint32_t warning_ms = 5'000;  ///< at least; with a mark the warning lasts until the mark
    std::uint32_t arm_timeout_ms = 120'000;
    std::uint32_t self_check_ms = 1'000;         ///< shortest self-check
    std::uint32_t self_check_limit_ms = 10'000;  ///< no complete set of readings by then: watchdog trip
    std::uint32_t relay_break_ms = 5;            ///< every relay open between two selections
    std::uint32_t current_decay_ms =
        100;                            ///< power stage off -> current measured zero, else over-current trip
    std::uint32_t watchdog_ms = 2'000;  ///< longest silence of the measuring chain while energised

    std::int32_t current_zero_ma = 50;  ///< at or below, no current flows
    std::int32_t over_current_ma = 45'000;
    std::int32_t open_loop_ma = 200;          ///< below in the dwell: open (steps aim at more than this)
    std::int32_t shorted_loop_percent = 150;  ///< of the step's target; above: shorted
    std::int32_t open_loop_mohm = 100'000;    ///< continuity test: above is open; hysteresis a tenth
    std::int32_t shorted_loop_mohm = 20;      ///< continuity test: below is a short; hysteresis a tenth
    std::int32_t under_voltage_mv = 21'000;   ///< battery terminals; 10.5 V for each 12 V block in series
    std::int32_t under_voltage_hysteresis_mv = 2'000;
    std::int32_t bus_low_mv = 0;  ///< bus, same hysteresis; 0: not judged
    std::int32_t winding_limit_mdeg_c = 120'000;
    std::int32_t winding_restart_mdeg_c = 80'000;
    std::int32_t electronics_limit_mdeg_c = 85'000;
    std::int32_t electronics_restart_mdeg_c = 65'000;
    std::int32_t temperature_hysteresis_mdeg_c = 10'000;
    std::uint32_t clock_limit_ppm = 50;  ///< two UTC marks that disagree by more: clock fault; 1 to 1000

    std::uint32_t current_debounce_ms = 20;   ///< open and shorted loop
    std::uint32_t sag_debounce_ms = 2'000;    ///< under-voltage while energised: the battery's own sag
    std::uint32_t voltage_debounce_ms = 200;  ///< under-voltage otherwise
    std::uint32_t temperature_debounce_ms = 500;

    Limits limits;
};

/// First setting out of range; `none` when all is well. Times: 0 to 4 000 000 ms (warning, arm timeout,
/// self-check limit, decay and watchdog at least 1 ms). relay_break_ms + 1 ms < limits.settle_ticks_min.
enum class ConfigFault : std::uint8_t {
    none = 0,
    clock_hz,
    clock_error,
    start_mark,
    time_out_of_range,
    relay_break_not_below_settle,
    current_thresholds,      ///< 0 <= zero < open loop < over-current; shorted percent 101 to 1000
    resistance_thresholds,   ///< 0 < shorted < open
    voltage_thresholds,      ///< 0 < under-voltage, 0 <= hysteresis, bus
    temperature_thresholds,  ///< restart <= limit - hysteresis
    clock_limit,
    limits,  ///< no loop, no tap, divisor range empty, current limit above over-current
};
[[nodiscard]] ConfigFault check(const Config& config);

}  // namespace ampturn::core
