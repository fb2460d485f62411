#include "scheduler/sweep/table_text.hpp"

#include <fmt/format.h>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::sweep {
namespace {

std::string_view waits(const core::Step& step) {
    return step.flags == core::starts_on_second   ? "second"
           : step.flags == core::starts_on_minute ? "minute"
                                                  : "-";
}

}  // namespace

std::string table_text(const StoredTable& stored) {
    const core::Table& table = stored.table;
    const auto seconds = [&](core::Ticks span) {
        return static_cast<double>(span.count()) / stored.clock_hz;
    };
    base::TextTable rows({{"step", base::CellSide::right},
                          {"loop"},
                          {"tap", base::CellSide::right},
                          {"cap.", base::CellSide::right},
                          {"divisor", base::CellSide::right},
                          {"frequency Hz", base::CellSide::right},
                          {"cycles", base::CellSide::right},
                          {"dwell s", base::CellSide::right},
                          {"A peak", base::CellSide::right},
                          {"ramp s", base::CellSide::right},
                          {"settle s", base::CellSide::right},
                          {"gap s", base::CellSide::right},
                          {"waits for"},
                          {"starts s", base::CellSide::right}});
    core::Ticks start;
    for (std::size_t i = 0; i < table.step_count; ++i) {
        const core::Step& step = table.steps[i];
        rows.row({{std::to_string(i + 1)},
                  {std::string(run::name_of(step.loop))},
                  {std::to_string(step.tap)},
                  {step.capacitor == 0 ? "-" : std::to_string(step.capacitor)},
                  {std::to_string(step.divisor)},
                  {fmt::format("{:.6f}", static_cast<double>(stored.clock_hz) / step.divisor)},
                  {std::to_string(step.cycles)},
                  {fmt::format("{:.6f}", seconds(core::dwell(step)))},
                  {fmt::format("{:.3f}", 1e-3 * step.current_ma_peak)},
                  {fmt::format("{:.6f}", seconds(core::ramp(step)))},
                  {fmt::format("{:.6f}", seconds(core::Ticks{step.settle_ticks}))},
                  {fmt::format("{:.6f}", seconds(core::Ticks{step.gap_ticks}))},
                  {std::string(waits(step))},
                  {fmt::format("{:.6f}", seconds(start))}});
        start += core::step_length(step);
    }
    return fmt::format(
        "table {}: steps {}, sweeps {} of {:.6f} s each, clock {} Hz, image {} bytes, CRC-32 {}\n\n{}",
        base::crc32_text(table.table_id), table.step_count, table.sweep_count, seconds(start),
        stored.clock_hz, core::image_bytes(table.step_count), image_crc32(table, stored.clock_hz),
        rows.text(200, 0, false));
}

}  // namespace ampturn::sweep
