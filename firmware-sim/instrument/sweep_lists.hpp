#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "firmware-sim/scpi/errors.hpp"
#include "scheduler/core/config.hpp"
#include "scheduler/core/table.hpp"

namespace ampturn::sim::instrument {

/// The sweep table as the LIST subsystem sees it: one sequence for each quantity. A sequence of one value
/// counts for every step (SCPI-99, LIST); any other length must be the same in all.
struct SweepLists {
    std::vector<double> frequency_hz, current_a_peak, dwell_s;
    std::vector<core::Loop> loop;
    std::vector<std::uint8_t> tap, capacitor;
    std::uint16_t sweep_count = 1;
};

/// What the clock gives for each sequence of a table.
SweepLists lists_of(const core::Table& table, std::uint32_t clock_hz);

/// Builds the table: nearest divisors, whole cycles, ramps of 0.2 s (at least one cycle), relays settling for
/// 20 ms or what the unit asks, gaps of 50 ms likewise. `error.code` is none when `table` is good.
struct BuiltTable {
    core::Table table;
    scpi::Error error;
};
BuiltTable table_of(const SweepLists& lists, const core::Config& config);

/// "step 3: odd divisor", or the reason alone where it is about the whole table.
std::string refusal_text(const core::TableCheck& result);

/// The frequency the clock gives for one that is asked for; clock_hz / (2^32 - 2) <= requested_hz <= clock_hz / 2.
double actual_frequency_hz(double requested_hz, std::uint32_t clock_hz);

}  // namespace ampturn::sim::instrument
