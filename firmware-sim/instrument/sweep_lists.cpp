#include "firmware-sim/instrument/sweep_lists.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "model/base/check_range.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/run/names.hpp"
#include "scheduler/sweep/quantize.hpp"

namespace ampturn::sim::instrument {

using run::explain;

namespace {

using scpi::ErrorCode;

template <class Value>
const Value& at(const std::vector<Value>& sequence, std::size_t index) {
    return sequence.size() == 1 ? sequence.front() : sequence[index];
}

}  // namespace

double actual_frequency_hz(double requested_hz, std::uint32_t clock_hz) {
    return sweep::nearest_drive(requested_hz, clock_hz).frequency_hz;
}

std::string refusal_text(const core::TableCheck& result) {
    if (result.reason < core::Refusal::unknown_loop) return std::string(explain(result.reason));
    return fmt::format("step {}: {}", result.step_index + 1, explain(result.reason));
}

SweepLists lists_of(const core::Table& table, std::uint32_t clock_hz) {
    SweepLists lists;
    lists.sweep_count = table.sweep_count;
    for (const core::Step& step : table.used()) {
        lists.frequency_hz.push_back(static_cast<double>(clock_hz) / step.divisor);
        lists.current_a_peak.push_back(1e-3 * step.current_ma_peak);
        lists.dwell_s.push_back(static_cast<double>(core::dwell(step).count()) / clock_hz);
        lists.loop.push_back(step.loop);
        lists.tap.push_back(step.tap);
        lists.capacitor.push_back(step.capacitor);
    }
    return lists;
}

BuiltTable table_of(const SweepLists& lists, const core::Config& config) {
    BuiltTable built;
    const std::size_t lengths[] = {lists.frequency_hz.size(), lists.current_a_peak.size(),
                                   lists.dwell_s.size(),      lists.loop.size(),
                                   lists.tap.size(),          lists.capacitor.size()};
    const std::size_t longest = *std::max_element(std::begin(lengths), std::end(lengths));
    for (const std::size_t length : lengths) {
        if (length == 0) {
            built.error = {ErrorCode::settings_conflict, "a list is empty"};
            return built;
        }
        if (length != 1 && length != longest) {
            built.error = {
                ErrorCode::lists_not_same_length,
                fmt::format("FREQ {}, CURR {}, DWEL {}, LOOP {}, TAP {}, CAP {} values", lengths[0],
                            lengths[1], lengths[2], lengths[3], lengths[4], lengths[5])};
            return built;
        }
    }
    built.table.sweep_count = lists.sweep_count;
    built.table.step_count = static_cast<std::uint16_t>(longest);
    const std::uint64_t fifth_s = config.clock_hz / 5;
    for (std::size_t i = 0; i < longest; ++i) {
        core::Step& step = built.table.steps[i];
        try {
            const sweep::NearestDrive drive =
                sweep::nearest_drive(at(lists.frequency_hz, i), config.clock_hz);
            step.divisor = drive.divisor;
            step.cycles = sweep::dwell_cycles(at(lists.dwell_s, i), drive);
        } catch (const model::RangeError& refused) {
            built.error = {ErrorCode::settings_conflict,
                           fmt::format("step {}: {} {}, allowed {}", i + 1, refused.name(), refused.found(),
                                       refused.allowed())};
            return built;
        }
        step.loop = at(lists.loop, i);
        step.tap = at(lists.tap, i);
        step.capacitor = at(lists.capacitor, i);
        step.current_ma_peak = static_cast<std::uint32_t>(std::lround(1000 * at(lists.current_a_peak, i)));
        step.ramp_cycles = static_cast<std::uint32_t>(std::max<std::uint64_t>(1, fifth_s / step.divisor));
        step.settle_ticks = std::max(config.clock_hz / 50, config.limits.settle_ticks_min);
        step.gap_ticks = std::max(config.clock_hz / 20, config.limits.gap_ticks_min);
    }
    const core::TableCheck result = core::check(built.table.used(), config.limits, built.table.sweep_count);
    if (result.reason != core::Refusal::none) {
        built.error = {ErrorCode::settings_conflict, refusal_text(result)};
    }
    return built;
}

}  // namespace ampturn::sim::instrument
