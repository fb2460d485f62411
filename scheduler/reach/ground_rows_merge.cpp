#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <string_view>
#include <utility>

#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/part_range.hpp"
#include "scheduler/base/take_line.hpp"
#include "scheduler/reach/ground_rows.hpp"

namespace ampturn::reach {

namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t part_bytes_max = 8'000'000'000;
constexpr const char* a_part = "a part that `reach --grounds --rows` has written";

/// The lines that were written to their end: what was being written when a part died is none.
std::string whole_lines_of(const std::string& file) {
    std::string text = base::read_input_file(file, a_part, part_bytes_max);
    const std::size_t end = text.rfind('\n');
    text.resize(end == std::string::npos ? 0 : end + 1);
    return text;
}

/// What must be the same in all parts.
Json common(Json head) {
    head.erase("first");
    head.erase("count");
    return head;
}

struct Head {
    Json json;
    base::PartRange range;
    int total = 0;
};

Head head_of(std::string_view line, const std::string& file) {
    Head head;
    try {
        head.json = base::json_of_part(line, file, 1);
        if (head.json.at("schema") != ground_rows_schema)
            base::refuse_part(file, 1, "another first line", a_part);
        base::check_made_by_this_build(head.json.at("version").get<std::string>(),
                                       head.json.at("git").get<std::string>(), file, 1);
        head.range.first = base::number_of_part(head.json.at("first"), file, 1);
        head.range.count = base::number_of_part(head.json.at("count"), file, 1);
        head.total = base::number_of_part(head.json.at("total"), file, 1);
    } catch (const Json::exception&) {
        base::refuse_part(file, 1, "something else", a_part);
    }
    return head;
}

/// Counts the rows and sees that they are the ones the head promises.
int checked_rows(std::string_view rows, const base::PartRange& range, const std::string& file) {
    int held = 0;
    for (int line = 2; !rows.empty(); ++line) {
        const int wanted = range.first + ++held;
        try {
            const Json row = base::json_of_part(base::take_line(rows), file, line);
            const int ground = base::number_of_part(row.at("ground"), file, line);
            if (ground != wanted || held > range.count)
                base::refuse_part(file, line, fmt::format("ground {}", ground),
                                  held > range.count ? "no more rows" : fmt::format("ground {}", wanted));
        } catch (const Json::exception&) {
            base::refuse_part(file, line, "something else", "a row of a part");
        }
    }
    return held;
}

}  // namespace

void merge_ground_rows(const std::vector<std::string>& files, const std::string& out_file) {
    std::vector<base::PartFound> found;
    Head first;
    for (const std::string& file : files) {
        const std::string text = whole_lines_of(file);
        std::string_view rows(text);
        Head head = head_of(base::take_line(rows), file);
        found.push_back({file, head.range, checked_rows(rows, head.range, file)});
        if (found.size() == 1)
            first = std::move(head);
        else if (common(head.json) != common(first.json))
            base::refuse_part(
                file, 1, "another plan, other options or another list of grounds than in " + files.front(),
                "parts of one list");
    }
    const std::vector<std::size_t> order =
        base::parts_in_order(found, {.entries = "grounds", .first_number = 1}, first.total);
    base::OutputFile out(out_file);
    first.json["first"] = 0;
    first.json["count"] = first.total;
    out.write(first.json.dump() + '\n');
    for (const std::size_t i : order) {
        const std::string text = whole_lines_of(files[i]);
        out.write(std::string_view(text).substr(text.find('\n') + 1));
    }
    out.commit();
}

}  // namespace ampturn::reach
