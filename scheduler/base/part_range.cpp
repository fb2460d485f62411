#include "scheduler/base/part_range.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cstdio>
#include <numeric>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/nesting.hpp"
#include "scheduler/base/version.hpp"

namespace ampturn::base {

void refuse_part(const std::string& file, int line, const std::string& found, const std::string& allowed) {
    throw InputError({.file = file, .position = {line, 0}, .key = {}, .found = found, .allowed = allowed});
}

nlohmann::ordered_json json_of_part(std::string_view text, const std::string& file, int line) {
    if (json_nested_too_deep(text)) refuse_part(file, line, json_nesting_found, nesting_allowed);
    return nlohmann::ordered_json::parse(text);
}

std::uint64_t whole_of_part(const nlohmann::ordered_json& value, const std::string& file, int line,
                            std::uint64_t most) {
    const std::optional<std::uint64_t> number = whole_number<std::uint64_t>(value);
    if (!number || *number > most)
        refuse_part(file, line, value.is_structured() ? "a list or an object" : value.dump(),
                    fmt::format("a whole number, 0 to {}", most));
    return *number;
}

int number_of_part(const nlohmann::ordered_json& value, const std::string& file, int line) {
    // First and count of a part add up without harm.
    return static_cast<int>(whole_of_part(value, file, line, 100'000'000));
}

PartRange parse_part_range(const std::string& text, const std::string& flag, int most,
                           const std::string& allowed) {
    PartRange range;
    char rest = 0;
    if (std::sscanf(text.c_str(), "%9d:%9d%c", &range.first, &range.count, &rest) != 2 || range.first < 0 ||
        range.count < 1 || range.first + range.count > most)
        refuse_part(flag, 0, text, allowed);
    return range;
}

void check_made_by_this_build(const std::string& version_made_by, const std::string& git_made_by,
                              const std::string& file, int line) {
    const std::string made_by = fmt::format("{} ({})", version_made_by, git_made_by),
                      ours = fmt::format("{} ({})", version(), git_hash());
    if (made_by != ours) refuse_part(file, line, "rows of version " + made_by, "of this one, " + ours);
}

std::vector<std::size_t> parts_in_order(const std::vector<PartFound>& parts, PartWords words, int total) {
    std::vector<std::size_t> order(parts.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return parts[a].range.first < parts[b].range.first;
    });
    // "3", "3 to 7", as people count.
    const auto numbers = [&](int from, int end) {
        from += words.first_number;
        end += words.first_number;
        return from + 1 == end ? std::to_string(from) : fmt::format("{} to {}", from, end - 1);
    };
    int next = 0;
    const std::string* before = nullptr;  // the part that ends at next
    const auto leave_no_gap = [&](int until, const std::string& file) {
        if (next < until)
            refuse_part(file, 0, fmt::format("no part with the {} {}", words.entries, numbers(next, until)),
                        fmt::format("all {} from {} on", words.entries, words.first_number));
    };
    for (const std::size_t i : order) {
        const PartFound& part = parts[i];
        leave_no_gap(part.range.first, part.file);
        if (part.range.first < next)
            refuse_part(part.file, 1,
                        fmt::format("{} from {} on", words.entries, part.range.first + words.first_number),
                        fmt::format("{} from {} on: what is before is in {} already", words.entries,
                                    next + words.first_number, *before));
        if (part.held < part.range.count)
            refuse_part(
                part.file, 0,
                fmt::format("{} of {} {}: the part ended early, {} missing", part.held, part.range.count,
                            words.entries, numbers(next + part.held, next + part.range.count)),
                "a whole part; run it again");
        next += part.range.count;
        before = &part.file;
    }
    if (parts.empty()) refuse_part("", 0, "no part", "at least one");
    leave_no_gap(total, *before);
    if (total > 0 && next > total)
        refuse_part(*before, 0, fmt::format("{} {} in all", next, words.entries),
                    fmt::format("{}, as asked for", total));
    return order;
}

}  // namespace ampturn::base
