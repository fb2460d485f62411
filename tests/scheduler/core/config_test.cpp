#include "scheduler/core/config.hpp"

#include <gtest/gtest.h>

#include "scheduler/core/sequencer.hpp"

namespace ampturn::core {
namespace config_test {

TEST(Config, DefaultsAreGoodAndEveryFaultCanBeReached) {
    EXPECT_EQ(check(Config{}), ConfigFault::none);
    struct Row {
        ConfigFault fault;
        void (*spoil)(Config&);
    };
    const Row rows[] = {
        {ConfigFault::clock_hz, [](Config& c) { c.clock_hz = 99'999; }},
        {ConfigFault::clock_hz, [](Config& c) { c.clock_hz = 100'000'001; }},
        {ConfigFault::clock_error, [](Config& c) { c.clock_error_ppb = -1'000'001; }},
        {ConfigFault::start_mark, [](Config& c) { c.start_mark = static_cast<Mark>(3); }},
        {ConfigFault::time_out_of_range, [](Config& c) { c.warning_ms = 0; }},
        {ConfigFault::time_out_of_range, [](Config& c) { c.watchdog_ms = 4'000'001; }},
        {ConfigFault::time_out_of_range, [](Config& c) { c.self_check_limit_ms = 999; }},
        {ConfigFault::relay_break_not_below_settle, [](Config& c) { c.relay_break_ms = 9; }},
        {ConfigFault::current_thresholds, [](Config& c) { c.open_loop_ma = 50; }},
        {ConfigFault::current_thresholds, [](Config& c) { c.shorted_loop_percent = 100; }},
        {ConfigFault::resistance_thresholds, [](Config& c) { c.open_loop_mohm = 24; }},
        {ConfigFault::voltage_thresholds, [](Config& c) { c.under_voltage_mv = 0; }},
        {ConfigFault::temperature_thresholds, [](Config& c) { c.winding_restart_mdeg_c = 110'001; }},
        {ConfigFault::temperature_thresholds, [](Config& c) { c.electronics_restart_mdeg_c = 75'001; }},
        {ConfigFault::clock_limit, [](Config& c) { c.clock_limit_ppm = 0; }},
        {ConfigFault::limits, [](Config& c) { c.limits.loops_fitted = 0; }},
        {ConfigFault::limits, [](Config& c) { c.limits.current_ma_peak_max = 45'000; }},
        {ConfigFault::limits, [](Config& c) { c.limits.divisor_min = 1; }},
    };
    for (const Row& row : rows) {
        Config config;
        row.spoil(config);
        EXPECT_EQ(check(config), row.fault);
    }
}

TEST(Config, EveryRangeEndsWhereItsCommentSays) {
    // Definition: the ranges in config.hpp; the last value inside is taken, the first one outside is not.
    struct Row {
        const char* what;
        ConfigFault fault;
        void (*inside)(Config&);
        void (*outside)(Config&);
    };
    const Row rows[] = {
        {"slowest clock", ConfigFault::clock_hz,
         [](Config& c) {
             c.clock_hz = 100'000;
             c.limits.settle_ticks_min = 1'000'000;
         },
         [](Config& c) {
             c.clock_hz = 99'999;
             c.limits.settle_ticks_min = 1'000'000;
         }},
        {"fastest clock", ConfigFault::clock_hz,
         [](Config& c) {
             c.clock_hz = 100'000'000;
             c.limits.settle_ticks_min = 1'000'000;
         },
         [](Config& c) {
             c.clock_hz = 100'000'001;
             c.limits.settle_ticks_min = 1'000'000;
         }},
        {"slow by 1000 ppm", ConfigFault::clock_error, [](Config& c) { c.clock_error_ppb = -1'000'000; },
         [](Config& c) { c.clock_error_ppb = -1'000'001; }},
        {"fast by 1000 ppm", ConfigFault::clock_error, [](Config& c) { c.clock_error_ppb = 1'000'000; },
         [](Config& c) { c.clock_error_ppb = 1'000'001; }},
        {"mark", ConfigFault::start_mark, [](Config& c) { c.start_mark = Mark::minute; },
         [](Config& c) { c.start_mark = static_cast<Mark>(3); }},
        {"relay break", ConfigFault::relay_break_not_below_settle,
         [](Config& c) { c.limits.settle_ticks_min = 6 * 24'000 + 1; },
         [](Config& c) { c.limits.settle_ticks_min = 6 * 24'000; }},
        {"no zero", ConfigFault::current_thresholds, [](Config& c) { c.current_zero_ma = 0; },
         [](Config& c) { c.current_zero_ma = -1; }},
        {"open above zero", ConfigFault::current_thresholds, [](Config& c) { c.open_loop_ma = 51; },
         [](Config& c) { c.open_loop_ma = 50; }},
        {"over-current above open", ConfigFault::current_thresholds,
         [](Config& c) {
             c.over_current_ma = 1'001;
             c.open_loop_ma = 1'000;
             c.limits.current_ma_peak_max = 1'000;
         },
         [](Config& c) {
             c.over_current_ma = 1'000;
             c.open_loop_ma = 1'000;
             c.limits.current_ma_peak_max = 999;
         }},
        {"largest over-current", ConfigFault::current_thresholds,
         [](Config& c) { c.over_current_ma = 1'000'000'000; },
         [](Config& c) { c.over_current_ma = 1'000'000'001; }},
        {"least shorted percent", ConfigFault::current_thresholds,
         [](Config& c) { c.shorted_loop_percent = 101; }, [](Config& c) { c.shorted_loop_percent = 100; }},
        {"most shorted percent", ConfigFault::current_thresholds,
         [](Config& c) { c.shorted_loop_percent = 1'000; },
         [](Config& c) { c.shorted_loop_percent = 1'001; }},
        {"shorted above nothing", ConfigFault::resistance_thresholds,
         [](Config& c) { c.shorted_loop_mohm = 1; }, [](Config& c) { c.shorted_loop_mohm = 0; }},
        {"most open", ConfigFault::resistance_thresholds, [](Config& c) { c.open_loop_mohm = 1'000'000'000; },
         [](Config& c) { c.open_loop_mohm = 1'000'000'001; }},
        // Tenths of hysteresis may not meet: 1000 and a tenth are 1100; 1224 less a tenth, 122, is 1102, and 1222 less 122 is 1100.
        {"shorted below open", ConfigFault::resistance_thresholds,
         [](Config& c) {
             c.shorted_loop_mohm = 1'000;
             c.open_loop_mohm = 1'223;
         },
         [](Config& c) {
             c.shorted_loop_mohm = 1'000;
             c.open_loop_mohm = 1'222;
         }},
        {"least volts", ConfigFault::voltage_thresholds, [](Config& c) { c.under_voltage_mv = 1; },
         [](Config& c) { c.under_voltage_mv = 0; }},
        {"most volts", ConfigFault::voltage_thresholds, [](Config& c) { c.under_voltage_mv = 1'000'000'000; },
         [](Config& c) { c.under_voltage_mv = 1'000'000'001; }},
        {"least hysteresis of volts", ConfigFault::voltage_thresholds,
         [](Config& c) { c.under_voltage_hysteresis_mv = 0; },
         [](Config& c) { c.under_voltage_hysteresis_mv = -1; }},
        {"most hysteresis of volts", ConfigFault::voltage_thresholds,
         [](Config& c) { c.under_voltage_hysteresis_mv = 1'000'000; },
         [](Config& c) { c.under_voltage_hysteresis_mv = 1'000'001; }},
        {"least bus", ConfigFault::voltage_thresholds, [](Config& c) { c.bus_low_mv = 0; },
         [](Config& c) { c.bus_low_mv = -1; }},
        {"most bus", ConfigFault::voltage_thresholds, [](Config& c) { c.bus_low_mv = 1'000'000'000; },
         [](Config& c) { c.bus_low_mv = 1'000'000'001; }},
        {"winding restart", ConfigFault::temperature_thresholds,
         [](Config& c) { c.winding_restart_mdeg_c = 110'000; },
         [](Config& c) { c.winding_restart_mdeg_c = 110'001; }},
        {"electronics restart", ConfigFault::temperature_thresholds,
         [](Config& c) { c.electronics_restart_mdeg_c = 75'000; },
         [](Config& c) { c.electronics_restart_mdeg_c = 75'001; }},
        {"hottest limit", ConfigFault::temperature_thresholds,
         [](Config& c) { c.winding_limit_mdeg_c = 1'000'000; },
         [](Config& c) { c.winding_limit_mdeg_c = 1'000'001; }},
        {"coldest restart", ConfigFault::temperature_thresholds,
         [](Config& c) { c.electronics_restart_mdeg_c = -100'000; },
         [](Config& c) { c.electronics_restart_mdeg_c = -100'001; }},
        {"coldest limit", ConfigFault::temperature_thresholds,
         [](Config& c) {
             c.winding_limit_mdeg_c = -99'999;
             c.winding_restart_mdeg_c = -100'000;
             c.temperature_hysteresis_mdeg_c = 0;
         },
         [](Config& c) {
             c.winding_limit_mdeg_c = -100'000;
             c.winding_restart_mdeg_c = -100'000;
             c.temperature_hysteresis_mdeg_c = 0;
         }},
        {"most hysteresis of temperature", ConfigFault::temperature_thresholds,
         [](Config& c) {
             c.winding_limit_mdeg_c = c.electronics_limit_mdeg_c = c.temperature_hysteresis_mdeg_c =
                 1'000'000;
             c.winding_restart_mdeg_c = c.electronics_restart_mdeg_c = 0;
         },
         [](Config& c) {
             c.winding_limit_mdeg_c = c.electronics_limit_mdeg_c = 1'000'000;
             c.temperature_hysteresis_mdeg_c = 1'000'001;
             c.winding_restart_mdeg_c = c.electronics_restart_mdeg_c = -1;
         }},
        {"no hysteresis of temperature", ConfigFault::temperature_thresholds,
         [](Config& c) { c.temperature_hysteresis_mdeg_c = 0; },
         [](Config& c) { c.temperature_hysteresis_mdeg_c = -1; }},
        {"least clock limit", ConfigFault::clock_limit, [](Config& c) { c.clock_limit_ppm = 1; },
         [](Config& c) { c.clock_limit_ppm = 0; }},
        {"most clock limit", ConfigFault::clock_limit, [](Config& c) { c.clock_limit_ppm = 1'000; },
         [](Config& c) { c.clock_limit_ppm = 1'001; }},
        {"one loop", ConfigFault::limits, [](Config& c) { c.limits.loops_fitted = 2; },
         [](Config& c) { c.limits.loops_fitted = 4; }},
        {"two loops", ConfigFault::limits, [](Config& c) { c.limits.loops_fitted = 3; },
         [](Config& c) { c.limits.loops_fitted = 5; }},
        {"a tap", ConfigFault::limits, [](Config& c) { c.limits.taps = 1; },
         [](Config& c) { c.limits.taps = 0; }},
        {"least divisor", ConfigFault::limits, [](Config& c) { c.limits.divisor_min = 2; },
         [](Config& c) { c.limits.divisor_min = 1; }},
        {"one divisor", ConfigFault::limits, [](Config& c) { c.limits.divisor_max = c.limits.divisor_min; },
         [](Config& c) { c.limits.divisor_max = c.limits.divisor_min - 1; }},
        {"least current", ConfigFault::limits, [](Config& c) { c.limits.current_ma_peak_max = 1; },
         [](Config& c) { c.limits.current_ma_peak_max = 0; }},
        {"current below over-current", ConfigFault::limits,
         [](Config& c) { c.limits.current_ma_peak_max = 44'999; },
         [](Config& c) { c.limits.current_ma_peak_max = 45'000; }},
        {"largest current", ConfigFault::limits,
         [](Config& c) {
             c.over_current_ma = 1'000'000'000;
             c.limits.current_ma_peak_max = current_ma_peak_limit;
         },
         [](Config& c) {
             c.over_current_ma = 1'000'000'000;
             c.limits.current_ma_peak_max = current_ma_peak_limit + 1;
         }},
    };
    for (const Row& row : rows) {
        Config inside, outside;
        row.inside(inside);
        row.outside(outside);
        EXPECT_EQ(check(inside), ConfigFault::none) << row.what;
        EXPECT_EQ(check(outside), row.fault) << row.what;
    }
}

TEST(Config, SpansOfTimeEndWhereTheirCommentSays) {
    // Definition: 0 to 4 000 000 ms; warning, arm timeout, self-check limit, decay and watchdog at least 1 ms.
    constexpr std::uint32_t Config::*any[] = {&Config::self_check_ms,       &Config::relay_break_ms,
                                              &Config::current_debounce_ms, &Config::sag_debounce_ms,
                                              &Config::voltage_debounce_ms, &Config::temperature_debounce_ms};
    constexpr std::uint32_t Config::*positive[] = {&Config::warning_ms, &Config::arm_timeout_ms,
                                                   &Config::self_check_limit_ms, &Config::current_decay_ms,
                                                   &Config::watchdog_ms};
    const auto with = [](std::uint32_t Config::*span, std::uint32_t ms) {
        Config config;
        config.self_check_ms = 0;
        config.clock_hz = 100'000;
        config.limits.settle_ticks_min = 4'000'000'000;
        if (span == &Config::self_check_ms) config.self_check_limit_ms = 4'000'000;
        config.*span = ms;
        return check(config);
    };
    for (const auto span : any) {
        EXPECT_EQ(with(span, 0), ConfigFault::none);
        EXPECT_EQ(with(span, 4'000'000), ConfigFault::none);
        EXPECT_EQ(with(span, 4'000'001), ConfigFault::time_out_of_range);
    }
    for (const auto span : positive) {
        EXPECT_EQ(with(span, 0), ConfigFault::time_out_of_range);
        EXPECT_EQ(with(span, 1), ConfigFault::none);
        EXPECT_EQ(with(span, 4'000'000), ConfigFault::none);
        EXPECT_EQ(with(span, 4'000'001), ConfigFault::time_out_of_range);
    }
    Config config;
    config.self_check_limit_ms = config.self_check_ms;
    EXPECT_EQ(check(config), ConfigFault::none);
    --config.self_check_limit_ms;
    EXPECT_EQ(check(config), ConfigFault::time_out_of_range);
}

TEST(ConfigDeathTest, ASequencerWithBadSettingsHaltsAtOnce) {
    Config config;
    config.warning_ms = 0;
    EXPECT_DEATH(Sequencer{config}, "");
}

}  // namespace config_test
}  // namespace ampturn::core
