#include "scheduler/field_request/ground_list.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <span>
#include <string_view>
#include <utility>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/take_line.hpp"
#include "scheduler/core/crc32.hpp"
#include "scheduler/field_request/request_node.hpp"
#include "scheduler/field_request/request_parse.hpp"
#include "scheduler/field_request/request_parts.hpp"

namespace ampturn::field_request {

namespace {

constexpr const char* a_ground = "a ground as JSON, one a line";

int lines_of(const std::string& text, const std::string& file) {
    const auto ends = std::count(text.begin(), text.end(), '\n');
    const auto lines = ends + (!text.empty() && text.back() != '\n');
    if (lines < 1 || lines > grounds_max)
        throw base::InputError({.file = file,
                                .position = {},
                                .key = {},
                                .found = lines < 1 ? "nothing" : fmt::format("{} lines", lines),
                                .allowed = fmt::format("1 to {} grounds, one a line", grounds_max)});
    return static_cast<int>(lines);
}

void add_ground(std::string line, const std::string& file, int number, GroundList& list) {
    const RequestText text{.file = file, .text = std::move(line), .first_line = number};
    const Node::Json json = parse_request(text, a_ground);
    const Node node(json, "", text);
    list.grounds.push_back(earth_of_node(node, GroundName::allowed));
    if (!node.has("name")) {
        list.names.push_back(std::to_string(number));
        return;
    }
    const Node name = node["name"];
    if (!name.json().is_string()) name.complain(name.short_text(), "a text");
    list.names.push_back(name.json().get<std::string>());
}

}  // namespace

GroundList read_grounds(const std::string& text, const std::string& file, const std::string& part,
                        const std::string& flag) {
    GroundList list;
    list.total = lines_of(text, file);
    list.range = {.first = 0, .count = list.total};
    if (!part.empty())
        list.range = base::parse_part_range(
            part, flag, list.total,
            fmt::format("FIRST:COUNT, FIRST from 0, together at most the {} of {}", list.total, file));
    list.crc32 = core::crc32(std::span(reinterpret_cast<const std::uint8_t*>(text.data()), text.size()));
    std::string_view rest(text);
    for (int number = 1; number <= list.range.first + list.range.count; ++number) {
        const std::string_view line = base::take_line(rest);
        if (number > list.range.first) add_ground(std::string(line), file, number, list);
    }
    return list;
}

}  // namespace ampturn::field_request
