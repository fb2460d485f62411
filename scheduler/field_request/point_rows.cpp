#include "scheduler/field_request/point_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <iterator>
#include <memory>
#include <utility>

#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/field_request/written_estimates.hpp"

namespace ampturn::field_request {

namespace {

using model::fields::FieldJob;
using model::fields::FieldResult;
using model::fields::Receiver;

constexpr std::array<const char*, point_columns> columns{
    "Ex_re_V_per_m",   "Ex_im_V_per_m",   "Ey_re_V_per_m", "Ey_im_V_per_m", "Hx_re_A_per_m",
    "Hx_im_A_per_m",   "Hy_re_A_per_m",   "Hy_im_A_per_m", "Hz_re_A_per_m", "Hz_im_A_per_m",
    "E_error_V_per_m", "H_error_A_per_m", "integration",   "dipoles"};
constexpr std::array integrations{"contours shared by a band of offsets", "digital filter",
                                  "deformed contour", "real axis"};

std::array<double, point_columns> row_of(const FieldResult& r) {
    const model::fields::Fields& f = r.fields;
    const WrittenEstimates written(r);
    return {f.ex_v_per_m.real(),
            f.ex_v_per_m.imag(),
            f.ey_v_per_m.real(),
            f.ey_v_per_m.imag(),
            f.hx_a_per_m.real(),
            f.hx_a_per_m.imag(),
            f.hy_a_per_m.real(),
            f.hy_a_per_m.imag(),
            f.hz_a_per_m.real(),
            f.hz_a_per_m.imag(),
            written.e_v_per_m,
            written.h_a_per_m,
            static_cast<double>(r.integration),
            static_cast<double>(r.dipoles)};
}

/// Some receivers of one ground and frequency.
struct Block {
    std::size_t ground, frequency, begin, count;
};

constexpr std::size_t receivers_in_block = 4096;  // of memory only: a result does not depend on it

std::vector<Block> blocks_of(const FieldPoints& points) {
    std::vector<Block> blocks;
    for (std::size_t g = 0; g < points.grounds.size(); ++g)
        for (std::size_t f = 0; f < points.frequencies_hz.size(); ++f)
            for (std::size_t begin = 0; begin < points.receivers.size(); begin += receivers_in_block)
                blocks.push_back(
                    {g, f, begin, std::min(receivers_in_block, points.receivers.size() - begin)});
    return blocks;
}

/// Nine significant digits.
void append_number(std::string& text, double value) {
    fmt::format_to(std::back_inserter(text), "{:.9g}", value);
}

void append(std::string& text, const FieldPoints& points, const Block& block, std::size_t receiver,
            std::size_t source, const FieldResult& result, PointFormat format) {
    const std::array<double, point_columns> row = row_of(result);
    if (format == PointFormat::float64) {
        static_assert(std::endian::native == std::endian::little);
        const std::size_t at = text.size();
        text.resize(at + sizeof row);
        std::memcpy(text.data() + at, row.data(), sizeof row);
        return;
    }
    if (format == PointFormat::csv) {
        const Receiver r = points.receivers[receiver];
        const std::size_t first_ground = points.list ? static_cast<std::size_t>(points.list->range.first) : 0;
        fmt::format_to(std::back_inserter(text), "{},", first_ground + block.ground + 1);
        append_number(text, points.frequencies_hz[block.frequency]);
        fmt::format_to(std::back_inserter(text), ",{},{}", receiver + 1, source + 1);
        for (const double value : {r.x_m, r.y_m, r.z_m}) append_number(text += ',', value);
        for (const double value : row) append_number(text += ',', value);
        text += '\n';
        return;
    }
    const bool first = block.ground == 0 && block.frequency == 0 && receiver == 0 && source == 0;
    text += first ? "\n  [" : ",\n  [";
    for (const double value : row) {
        append_number(text, value);
        text += ',';
    }
    text.back() = ']';
}

std::string compute(const FieldPoints& points, const FieldJob& job, const Block& block, PointFormat format) {
    std::vector<FieldResult> results(points.sources.size() * block.count);
    job.compute(points.grounds[block.ground], points.frequencies_hz[block.frequency], points.options,
                results);
    std::string text;
    for (std::size_t i = 0; i < block.count; ++i)
        for (std::size_t s = 0; s < points.sources.size(); ++s)
            append(text, points, block, block.begin + i, s, results[s * block.count + i], format);
    return text;
}

Node::Json layout_of(const FieldPoints& points) {
    Node::Json layout;
    layout["order"] = {"ground", "frequency", "receiver", "source", "column"};
    layout["shape"] = {points.grounds.size(), points.frequencies_hz.size(), points.receivers.size(),
                       points.sources.size(), point_columns};
    layout["columns"] = columns;
    layout["integration"] = integrations;
    layout["frequencies_Hz"] = points.frequencies_hz;
    layout["tolerance"] = points.options.tolerance_rel;
    layout["wavenumbers"] =
        points.options.wavenumbers == model::ground::Wavenumbers::full ? "full" : "quasi_static";
    if (!points.list) return layout;
    layout["schema"] = points_schema;
    layout["version"] = base::version();
    layout["git"] = base::git_hash();
    layout["request_crc32"] = base::crc32_text(points.list->request_crc32);
    layout["grounds"] = {{"crc32", base::crc32_text(points.list->list_crc32)},
                         {"total", points.list->total},
                         {"first", points.list->range.first},
                         {"names", points.list->names}};
    return layout;
}

}  // namespace

AroundRows around_rows(Node::Json layout, PointFormat format) {
    switch (format) {
        case PointFormat::json: {
            std::string head = base::json_text(std::move(layout), 1);
            head.resize(head.rfind('\n', head.size() - 2));  // its closing brace comes at the end
            return {.before = head + ",\n \"rows\": [", .between = ",", .after = "\n ]\n}\n"};
        }
        case PointFormat::csv:
            return {.before = fmt::format("ground,frequency_Hz,receiver,source,x_m,y_m,z_m,{}\n",
                                          fmt::join(columns, ",")),
                    .between = "",
                    .after = ""};
        case PointFormat::float64:
            break;
    }
    return {};
}

const char* type_text(PointFormat format) {
    switch (format) {
        case PointFormat::json:
            return "JSON";
        case PointFormat::csv:
            return "CSV";
        case PointFormat::float64:
            break;
    }
    return "float64, little-endian, without header";
}

void write_points(const FieldPoints& points, PointFormat format, unsigned threads,
                  const std::function<void(std::string_view)>& out) {
    const std::vector<Block> blocks = blocks_of(points);
    const AroundRows around = around_rows(layout_of(points), format);
    out(around.before);
    // Receivers of a block are made ready once for all its grounds and frequencies, as long as there are few blocks of them.
    const std::size_t pieces = (points.receivers.size() + receivers_in_block - 1) / receivers_in_block;
    constexpr std::size_t kept_max = 8;
    std::vector<std::unique_ptr<FieldJob>> kept;
    const auto job_of = [&](const Block& block) {
        return std::make_unique<FieldJob>(points.sources, points.receivers.some(block.begin, block.count));
    };
    if (pieces <= kept_max)
        for (std::size_t i = 0; i < pieces; ++i) kept.push_back(job_of(blocks[i]));
    const std::size_t round = 4 * std::size_t{threads};
    for (std::size_t done = 0; done < blocks.size(); done += round) {
        const std::size_t count = std::min(round, blocks.size() - done);
        std::vector<std::string> texts(count);
        base::parallel_for(count, threads, [&](std::size_t i) {
            const Block& block = blocks[done + i];
            if (kept.empty())
                texts[i] = compute(points, *job_of(block), block, format);
            else
                texts[i] = compute(points, *kept[block.begin / receivers_in_block], block, format);
        });
        for (const std::string& text : texts) out(text);
    }
    out(around.after);
}

std::string describe_points(const FieldPoints& points, PointFormat format, const std::string& data_file,
                            std::size_t bytes) {
    Node::Json layout;
    layout["data"] = data_file;
    layout["type"] = type_text(format);
    layout["bytes"] = bytes;
    layout.update(layout_of(points));
    return base::json_text(std::move(layout), 1);
}

}  // namespace ampturn::field_request
