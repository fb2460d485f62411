#include "scheduler/field_request/point_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <string_view>
#include <utility>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/nesting.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/part_range.hpp"
#include "scheduler/field_request/point_rows.hpp"

namespace ampturn::field_request {

namespace {

using Json = Node::Json;

constexpr std::size_t description_bytes_max = 1'000'000'000;

[[noreturn]] void refuse(const std::string& file, const std::string& key, const std::string& found,
                         const std::string& allowed) {
    throw base::InputError({.file = file, .position = {}, .key = key, .found = found, .allowed = allowed});
}

struct Part {
    std::string file, data;  // of the description, and beside it
    Json layout;             // without what is said of the data file
    PointFormat format;
    std::uintmax_t bytes;
    base::PartRange range;
    int total = 0;
};

PointFormat format_of(const std::string& type, const std::string& file) {
    for (const PointFormat format : {PointFormat::json, PointFormat::csv, PointFormat::float64})
        if (type == type_text(format)) return format;
    refuse(file, "type", type, "JSON, CSV or float64");
}

Part read_part(const std::string& file) {
    constexpr const char* wanted = "what `fields --grounds` has written beside its data";
    const std::string text = base::read_input_file(file, wanted, description_bytes_max);
    if (base::json_nested_too_deep(text)) refuse(file, "", base::json_nesting_found, base::nesting_allowed);
    Part part{.file = file, .data = {}, .layout = {}, .format = {}, .bytes = 0, .range = {}, .total = 0};
    try {
        Json& json = part.layout = Json::parse(text);
        if (json.at("schema") != points_schema) refuse(file, "schema", json.at("schema").dump(), wanted);
        base::check_made_by_this_build(json.at("version").get<std::string>(),
                                       json.at("git").get<std::string>(), file, 0);
        const std::filesystem::path name(json.at("data").get<std::string>());
        part.data = (std::filesystem::path(file).parent_path() / name.filename()).string();
        part.format = format_of(json.at("type").get<std::string>(), file);
        part.bytes = base::whole_of_part(json.at("bytes"), file, 0);
        part.range = {.first = base::number_of_part(json.at("grounds").at("first"), file, 0),
                      .count = base::number_of_part(json.at("shape").at(0), file, 0)};
        part.total = base::number_of_part(json.at("grounds").at("total"), file, 0);
        if (json.at("grounds").at("names").size() != static_cast<std::size_t>(part.range.count))
            refuse(file, "grounds.names", "another number of names than of grounds", "one a ground");
        for (const char* key : {"data", "type", "bytes"}) json.erase(key);
    } catch (const Json::exception&) {
        refuse(file, "", "something else", wanted);
    }
    return part;
}

/// The part's data is there and whole.
void check_data(const Part& part) {
    std::error_code failed;
    const std::uintmax_t size = std::filesystem::file_size(part.data, failed);
    const std::string grounds =
        fmt::format("grounds {} to {}", part.range.first + 1, part.range.first + part.range.count);
    if (failed)
        refuse(part.data, "", "nothing that can be read, of the " + grounds, "a whole part; run it again");
    if (size != part.bytes)
        refuse(part.data, "",
               fmt::format("{} of {} bytes: the part of the {} is not whole", size, part.bytes, grounds),
               "a whole part; run it again");
}

/// What must be the same in all parts.
Json common(Json layout) {
    layout["shape"][0] = nullptr;
    layout["grounds"].erase("first");
    layout["grounds"].erase("names");
    return layout;
}

/// The rows of a part: its data without what stands around them.
void copy_rows(const Part& part, base::OutputFile& out) {
    const AroundRows around = around_rows(part.layout, part.format);
    std::ifstream in(part.data, std::ios::binary);
    std::string piece(around.before.size(), '\0');
    in.read(piece.data(), static_cast<std::streamsize>(piece.size()));
    if (!in || piece != around.before || part.bytes < around.before.size() + around.after.size())
        refuse(part.data, "", "another beginning", "the data that " + part.file + " describes");
    std::uintmax_t left = part.bytes - around.before.size() - around.after.size();
    while (left > 0) {
        piece.resize(std::min<std::uintmax_t>(left, 1 << 20));
        in.read(piece.data(), static_cast<std::streamsize>(piece.size()));
        if (!in) refuse(part.data, "", "data that cannot be read", "a whole part; run it again");
        out.write(piece);
        left -= piece.size();
    }
}

}  // namespace

void merge_points(const std::vector<std::string>& descriptions, const std::string& out_file) {
    std::vector<Part> parts;
    std::vector<base::PartFound> found;
    for (const std::string& file : descriptions) {
        parts.push_back(read_part(file));
        const Part& part = parts.back();
        if (part.format != parts.front().format || common(part.layout) != common(parts.front().layout))
            refuse(file, "", "another request, list of grounds or format than in " + parts.front().file,
                   "parts of one answer");
        check_data(part);
        found.push_back({file, part.range, part.range.count});
    }
    const int total = parts.front().total;
    const std::vector<std::size_t> order =
        base::parts_in_order(found, {.entries = "grounds", .first_number = 1}, total);
    Json layout = parts.front().layout;
    layout["shape"][0] = total;
    layout["grounds"]["first"] = 0;
    layout["grounds"]["names"] = Json::array();
    for (const std::size_t i : order)
        for (const Json& name : parts[i].layout["grounds"]["names"])
            layout["grounds"]["names"].push_back(name);
    const PointFormat format = parts.front().format;
    const AroundRows around = around_rows(layout, format);
    std::uintmax_t bytes = around.before.size() + around.after.size();
    base::OutputFile out(out_file);
    out.write(around.before);
    for (const std::size_t i : order) {
        const AroundRows of_part = around_rows(parts[i].layout, format);
        if (i != order.front()) {
            out.write(around.between);
            bytes += around.between.size();
        }
        copy_rows(parts[i], out);
        bytes += parts[i].bytes - of_part.before.size() - of_part.after.size();
    }
    out.write(around.after);
    Json description;
    description["data"] = std::filesystem::path(out_file).filename().string();
    description["type"] = type_text(format);
    description["bytes"] = bytes;
    description.update(layout);
    base::write_output_file(out_file + ".json", base::json_text(std::move(description), 1));
    out.commit();
}

}  // namespace ampturn::field_request
