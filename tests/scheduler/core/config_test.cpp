#include "scheduler/core/config.hpp"

#include <gtest/gtest.h>

#include "scheduler/core/sequencer.hpp"

namespace ampturn::core {
namespace {

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

TEST(ConfigDeathTest, ASequencerWithBadSettingsHaltsAtOnce) {
    Config config;
    config.warning_ms = 0;
    EXPECT_DEATH(Sequencer{config}, "");
}

}  // namespace
}  // namespace ampturn::core
