#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <limits>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/take_line.hpp"
#include "scheduler/run/names.hpp"
#include "scheduler/sweep/table_files.hpp"

// One line a step; what belongs to the whole table stands in each line and must be
// the same in all. All whole numbers.

namespace ampturn::sweep {
namespace {

struct Column {
    std::string_view name;
    std::uint32_t most;
};
constexpr std::uint32_t any = std::numeric_limits<std::uint32_t>::max();
constexpr std::array columns{Column{"table_id", any},    Column{"sweep_count", 65'535},
                             Column{"clock_hz", any},    Column{"loop", 3},
                             Column{"tap", 255},         Column{"capacitor", 255},
                             Column{"flags", 255},       Column{"divisor_ticks", any},
                             Column{"cycles", any},      Column{"current_ma_peak", any},
                             Column{"ramp_cycles", any}, Column{"settle_ticks", any},
                             Column{"gap_ticks", any}};
constexpr std::size_t table_columns = 3;
using Numbers = std::array<std::uint32_t, columns.size()>;

Numbers numbers_of(const StoredTable& stored, const core::Step& step) {
    return {stored.table.table_id,
            stored.table.sweep_count,
            stored.clock_hz,
            static_cast<std::uint32_t>(step.loop),
            step.tap,
            step.capacitor,
            step.flags,
            step.divisor,
            step.cycles,
            step.current_ma_peak,
            step.ramp_cycles,
            step.settle_ticks,
            step.gap_ticks};
}

core::Step step_of(const Numbers& n) {
    return {.loop = static_cast<core::Loop>(n[3]),
            .tap = static_cast<std::uint8_t>(n[4]),
            .capacitor = static_cast<std::uint8_t>(n[5]),
            .flags = static_cast<std::uint8_t>(n[6]),
            .divisor = n[7],
            .cycles = n[8],
            .current_ma_peak = n[9],
            .ramp_cycles = n[10],
            .settle_ticks = n[11],
            .gap_ticks = n[12]};
}

Numbers parse_line(const std::string& path, int number, std::string_view line) {
    Numbers numbers{};
    for (std::size_t i = 0; i < columns.size(); ++i) {
        const bool last = i + 1 == columns.size();
        const std::size_t end = last ? line.size() : line.find(',');
        const auto refuse = [&](std::string_view found, std::string allowed) {
            return base::InputError({path,
                                     {number, 0},
                                     std::string(columns[i].name),
                                     std::string(found.substr(0, 40)),
                                     std::move(allowed)});
        };
        if (end == std::string_view::npos)
            throw refuse("the end of the line", fmt::format("{} fields", columns.size()));
        const std::string_view field = line.substr(0, end);
        const auto [stop, error] = std::from_chars(field.data(), field.data() + field.size(), numbers[i]);
        if (error != std::errc{} || stop != field.data() + field.size() || numbers[i] > columns[i].most)
            throw refuse(field, fmt::format("a whole number from 0 to {}", columns[i].most));
        line.remove_prefix(std::min(end + 1, line.size()));
    }
    return numbers;
}

std::string header_line() {
    std::string out;
    for (const Column& column : columns) out += fmt::format("{}{}", out.empty() ? "" : ",", column.name);
    return out;
}

}  // namespace

std::string csv_of_table(const StoredTable& stored) {
    std::vector<std::string_view> names;
    names.reserve(columns.size());
    for (const Column& column : columns) names.push_back(column.name);
    base::CsvTable csv(names);
    for (const core::Step& step : stored.table.used()) {
        for (const std::uint32_t number : numbers_of(stored, step)) csv.cell(number);
        csv.end_row();
    }
    return csv.text();
}

StoredTable table_of_csv(const std::string& path, std::string_view text) {
    StoredTable stored;
    Numbers first{};
    int number = 0;
    while (!text.empty()) {
        const std::string_view line = base::take_line(text);
        ++number;
        if (number == 1) {
            if (line != header_line())
                throw base::InputError({path, {1, 0}, "", std::string(line.substr(0, 60)), header_line()});
            continue;
        }
        if (line.empty()) continue;
        const Numbers numbers = parse_line(path, number, line);
        core::Table& table = stored.table;
        if (table.step_count == core::steps_max)
            throw base::InputError(
                {path, {number, 0}, "", "another step", fmt::format("at most {} steps", core::steps_max)});
        if (table.step_count == 0) first = numbers;
        for (std::size_t i = 0; i < table_columns; ++i)
            if (numbers[i] != first[i])
                throw base::InputError({path,
                                        {number, 0},
                                        std::string(columns[i].name),
                                        std::to_string(numbers[i]),
                                        fmt::format("{}, as in the first step", first[i])});
        const core::Step step = step_of(numbers);
        if (const core::Refusal reason = core::check_step(step, widest_limits());
            reason != core::Refusal::none)
            throw base::InputError({path,
                                    {number, 0},
                                    fmt::format("step[{}]", table.step_count + 1),
                                    std::string(run::explain(reason)),
                                    "a step that a unit can run"});
        table.steps[table.step_count++] = step;
    }
    stored.table.table_id = first[0];
    stored.table.sweep_count = static_cast<std::uint16_t>(first[1]);
    stored.clock_hz = first[2];
    if (stored.table.step_count == 0)
        throw base::InputError({path, {number, 0}, "", "no steps", "at least one step"});
    if (stored.table.sweep_count == 0 || stored.clock_hz == 0)
        throw base::InputError(
            {path, {2, 0}, stored.clock_hz == 0 ? "clock_hz" : "sweep_count", "0", "1 and up"});
    return stored;
}

}  // namespace ampturn::sweep
