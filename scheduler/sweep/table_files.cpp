#include "scheduler/sweep/table_files.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <cstring>
#include <memory>
#include <span>
#include <stdexcept>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::sweep {
namespace {

constexpr std::string_view header_opening = "/* Sweep table ";
constexpr std::size_t table_file_bytes_max = 1'000'000;

std::string header_of(const StoredTable& stored) {
    const std::vector<std::uint8_t> image = image_of(stored);
    std::string out = fmt::format(
        "{}{}: {} steps, for a clock of {} Hz. Written by ampturn; do not edit. */\n"
        "#ifndef AMPTURN_SWEEP_TABLE_H\n#define AMPTURN_SWEEP_TABLE_H\n\n"
        "static const unsigned char ampturn_sweep_table[{}] = {{",
        header_opening, base::crc32_text(stored.table.table_id), stored.table.step_count, stored.clock_hz,
        image.size());
    for (std::size_t i = 0; i < image.size(); ++i)
        out += fmt::format("{}0x{:02X},", i % 16 == 0 ? "\n    " : " ", image[i]);
    out += "\n};\n\n#endif\n";
    return out;
}

std::string shown(std::string_view text) {
    std::string out;
    for (const char c : text.substr(0, 24)) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte >= 0x20 && byte < 0x7F)
            out += c;
        else
            out += fmt::format("\\x{:02x}", byte);
    }
    return text.size() > 24 ? out + "..." : out;
}

/// The array in the header we write: between its braces, 0xNN separated by commas.
std::vector<std::uint8_t> bytes_of_header(const std::string& path, std::string_view text) {
    const auto refuse = [&](std::size_t at, std::string found, std::string allowed) {
        const int line = 1 + static_cast<int>(std::count(
                                 text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
        return base::InputError(
            {path, {line, 0}, "ampturn_sweep_table", std::move(found), std::move(allowed)});
    };
    const std::size_t open = text.find('{'), close = text.find('}');
    if (open == std::string_view::npos || close == std::string_view::npos || close < open)
        throw refuse(0, "no list in braces", "one array of bytes in braces");
    std::vector<std::uint8_t> bytes;
    std::size_t at = open + 1;
    for (;;) {
        at = std::min(text.find_first_not_of(" \t\r\n", at), close);
        if (at >= close) break;
        const std::size_t comma = std::min(text.find(',', at), close);
        const std::string_view item = text.substr(at, comma - at);
        std::uint8_t byte = 0;
        const bool good = item.size() == 4 && item.starts_with("0x") &&
                          std::from_chars(item.data() + 2, item.data() + 4, byte, 16).ptr == item.data() + 4;
        if (!good) throw refuse(at, shown(item), "0x00 to 0xFF, two digits, then a comma");
        if (bytes.size() == core::image_bytes_max)
            throw refuse(at, "more bytes", fmt::format("at most {} bytes", core::image_bytes_max));
        bytes.push_back(byte);
        at = comma + 1;
    }
    return bytes;
}

std::uint32_t clock_of(const std::vector<std::uint8_t>& image) {
    std::uint32_t clock_hz = 0;
    if (image.size() >= 16)
        for (std::size_t i = 0; i < 4; ++i) clock_hz |= static_cast<std::uint32_t>(image[12 + i]) << (8 * i);
    return clock_hz;
}

}  // namespace

core::Limits widest_limits() {
    return {.divisor_min = 2,
            .divisor_max = 0xFFFFFFFF,
            .current_ma_peak_max = core::current_ma_peak_limit,
            .taps = 255,
            .capacitors = 255,
            .loops_fitted = 3,
            .quadrature = true,
            .settle_ticks_min = 0,
            .gap_ticks_min = 0};
}

std::vector<std::uint8_t> image_of(const StoredTable& stored) {
    if (stored.table.step_count == 0 || stored.table.step_count > core::steps_max)
        throw std::logic_error("a stored table has 1 to 64 steps");
    std::vector<std::uint8_t> image(core::image_bytes(stored.table.step_count));
    core::write_image(stored.table, stored.clock_hz, image);
    return image;
}

std::string image_crc32(const core::Table& table, std::uint32_t clock_hz) {
    std::array<std::uint8_t, core::image_bytes_max> bytes{};
    const std::size_t size = core::write_image(table, clock_hz, bytes);
    return base::crc32_text(core::image_checksum(std::span{bytes}.first(size)));
}

StoredTable table_of_image(const std::string& path, const std::vector<std::uint8_t>& image) {
    StoredTable stored{.clock_hz = clock_of(image)};
    const core::TableCheck verdict = core::read_image(image, stored.clock_hz, widest_limits(), stored.table);
    if (verdict.reason == core::Refusal::none) {
        if (stored.clock_hz != 0) return stored;
        throw base::InputError({path, {}, "clock_hz", "0", "1 Hz and up"});
    }
    const bool in_a_step = verdict.reason >= core::Refusal::unknown_loop;
    throw base::InputError({path,
                            {},
                            in_a_step ? fmt::format("step[{}]", verdict.step_index + 1) : "",
                            fmt::format("{} bytes: {}", image.size(), run::explain(verdict.reason)),
                            "a whole, undamaged table image"});
}

std::string table_file(const StoredTable& stored, TableFormat format) {
    switch (format) {
        case TableFormat::image: {
            const std::vector<std::uint8_t> image = image_of(stored);
            return {image.begin(), image.end()};
        }
        case TableFormat::hex:
            return hex_of_bytes(image_of(stored));
        case TableFormat::header:
            return header_of(stored);
        case TableFormat::csv:
            return csv_of_table(stored);
    }
    throw std::logic_error("table format unknown");
}

bool looks_like_table(std::string_view bytes, TableFormat& format) {
    struct Opening {
        std::string_view bytes;
        TableFormat format;
    };
    static constexpr std::array openings{Opening{"ATBL", TableFormat::image}, Opening{":", TableFormat::hex},
                                         Opening{header_opening, TableFormat::header},
                                         Opening{"table_id,", TableFormat::csv}};
    for (const Opening& opening : openings) {
        if (!bytes.starts_with(opening.bytes)) continue;
        format = opening.format;
        return true;
    }
    return false;
}

StoredTable read_table_file(const std::string& path, std::string_view bytes) {
    TableFormat format{};
    if (!looks_like_table(bytes, format))
        throw base::InputError({path,
                                {},
                                "",
                                fmt::format("{} bytes that begin with '{}'", bytes.size(), shown(bytes)),
                                "a table image, Intel HEX, C header or CSV as written by `ampturn table`"});
    switch (format) {
        case TableFormat::image:
            return table_of_image(path, {bytes.begin(), bytes.end()});
        case TableFormat::hex:
            return table_of_image(path, bytes_of_hex(path, bytes));
        case TableFormat::header:
            return table_of_image(path, bytes_of_header(path, bytes));
        case TableFormat::csv:
            return table_of_csv(path, bytes);
    }
    throw std::logic_error("table format unknown");
}

StoredTable read_table_file(const std::string& path) {
    return read_table_file(path, base::read_input_file(path, "a sweep table", table_file_bytes_max));
}

}  // namespace ampturn::sweep
