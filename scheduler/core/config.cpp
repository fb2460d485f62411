#include "scheduler/core/config.hpp"

namespace ampturn::core {
namespace {

constexpr std::uint32_t span_max_ms = 4'000'000;

bool spans_fit(const Config& c) {
    const std::uint32_t any[] = {c.self_check_ms,   c.relay_break_ms,      c.current_debounce_ms,
                                 c.sag_debounce_ms, c.voltage_debounce_ms, c.temperature_debounce_ms};
    for (const std::uint32_t ms : any)
        if (ms > span_max_ms) return false;
    const std::uint32_t positive[] = {c.warning_ms, c.arm_timeout_ms, c.self_check_limit_ms,
                                      c.current_decay_ms, c.watchdog_ms};
    for (const std::uint32_t ms : positive)
        if (ms == 0 || ms > span_max_ms) return false;
    return c.self_check_limit_ms >= c.self_check_ms;
}

/// A threshold with its tenth of hysteresis stays inside 32 bits.
bool fits(std::int32_t threshold) { return threshold > 0 && threshold <= 1'000'000'000; }

bool temperatures_fit(std::int32_t limit, std::int32_t restart, std::int32_t hysteresis) {
    return limit > -100'000 && limit <= 1'000'000 && hysteresis >= 0 && hysteresis <= 1'000'000 &&
           restart >= -100'000 && restart <= limit - hysteresis;
}

}  // namespace

ConfigFault check(const Config& c) {
    if (c.clock_hz < 100'000 || c.clock_hz > 100'000'000) return ConfigFault::clock_hz;
    if (c.clock_error_ppb < -1'000'000 || c.clock_error_ppb > 1'000'000) return ConfigFault::clock_error;
    if (c.start_mark > Mark::minute) return ConfigFault::start_mark;
    if (!spans_fit(c)) return ConfigFault::time_out_of_range;
    // A host may come up to 1 ms late; relays must not close and carry current in one and the same call.
    if (Ticks{c.limits.settle_ticks_min} <= ticks_of_ms(c.clock_hz, c.relay_break_ms + 1))
        return ConfigFault::relay_break_not_below_settle;
    if (c.current_zero_ma < 0 || c.open_loop_ma <= c.current_zero_ma || c.over_current_ma <= c.open_loop_ma ||
        !fits(c.over_current_ma) || c.shorted_loop_percent <= 100 || c.shorted_loop_percent > 1'000)
        return ConfigFault::current_thresholds;
    if (!fits(c.shorted_loop_mohm) || !fits(c.open_loop_mohm) ||
        c.shorted_loop_mohm + c.shorted_loop_mohm / 10 >= c.open_loop_mohm - c.open_loop_mohm / 10)
        return ConfigFault::resistance_thresholds;
    if (!fits(c.under_voltage_mv) || c.under_voltage_hysteresis_mv < 0 ||
        c.under_voltage_hysteresis_mv > 1'000'000 || c.bus_low_mv < 0 || c.bus_low_mv > 1'000'000'000)
        return ConfigFault::voltage_thresholds;
    if (!temperatures_fit(c.winding_limit_mdeg_c, c.winding_restart_mdeg_c,
                          c.temperature_hysteresis_mdeg_c) ||
        !temperatures_fit(c.electronics_limit_mdeg_c, c.electronics_restart_mdeg_c,
                          c.temperature_hysteresis_mdeg_c))
        return ConfigFault::temperature_thresholds;
    if (c.clock_limit_ppm == 0 || c.clock_limit_ppm > 1'000) return ConfigFault::clock_limit;
    const Limits& l = c.limits;
    if ((l.loops_fitted & 3u) == 0 || l.loops_fitted > 3 || l.taps == 0 || l.divisor_min < 2 ||
        l.divisor_max < l.divisor_min || l.current_ma_peak_max == 0 ||
        l.current_ma_peak_max > current_ma_peak_limit ||
        l.current_ma_peak_max >= static_cast<std::uint32_t>(c.over_current_ma))
        return ConfigFault::limits;
    return ConfigFault::none;
}

}  // namespace ampturn::core
