#include "scheduler/plan/tree/config_read.hpp"
#include "scheduler/base/number_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numeric>

namespace ampturn::plan::tree {

void Problems::add(const Value& value, const std::string& key, std::string found, std::string allowed) {
    const std::string& file = value.given_by.empty() ? file_ : value.given_by;
    problems_.push_back({file, value.position, key, std::move(found), std::move(allowed)});
}

void Problems::add_at(base::Position position, const std::string& key, std::string found,
                      std::string allowed) {
    problems_.push_back({file_, position, key, std::move(found), std::move(allowed)});
}

void Problems::throw_if_any() const {
    if (none()) return;
    std::vector<base::InputProblem> sorted = problems_;
    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const base::InputProblem& left, const base::InputProblem& right) {
                         return std::pair(left.position.line, left.position.column) <
                                std::pair(right.position.line, right.position.column);
                     });
    throw base::InputError(std::move(sorted));
}

namespace {

std::string with_unit(std::string text, std::string_view unit) {
    return unit.empty() ? text : fmt::format("{} {}", text, unit);
}

std::string a_number_in(std::string_view unit) {
    return unit.empty() ? "a number" : fmt::format("a number in {}", unit);
}

}  // namespace

bool NumberRange::holds(double value) const {
    return std::isfinite(value) && (min_excluded ? value > min : value >= min) && value <= max;
}

std::string NumberRange::text() const {
    std::string text;
    if (std::isinf(min) && std::isinf(max)) return with_unit("any finite number", unit);
    if (std::isinf(min)) return with_unit(fmt::format("at most {:.15g}", max), unit);
    if (std::isinf(max))
        return with_unit(fmt::format("{} {:.15g}", min_excluded ? "above" : "at least", min), unit);
    return with_unit(fmt::format("{}{:.15g} to {:.15g}", min_excluded ? "above " : "", min, max), unit);
}

std::string WholeRange::text() const {
    if (max == std::numeric_limits<long long>::max())
        return with_unit(fmt::format("a whole number, at least {}", min), unit);
    return with_unit(fmt::format("a whole number, {} to {}", min, max), unit);
}

std::string CountRange::text() const {
    if (min == max) return fmt::format("{}", min);
    if (max == std::numeric_limits<std::size_t>::max()) return fmt::format("at least {}", min);
    return fmt::format("{} to {}", min, max);
}

std::optional<double> read_number(const Value& value, const std::string& key, const NumberRange& range,
                                  Problems& problems) {
    std::optional<double> number;
    if (const auto* real = std::get_if<double>(&value.data))
        number = *real == 0 ? 0 : *real;  // -0.0 is written back as -0, a whole number without a sign
    else if (const auto* whole = std::get_if<std::int64_t>(&value.data))
        number = static_cast<double>(*whole);
    if (number && range.holds(*number)) return number;
    problems.add(value, key, describe_found(value),
                 number ? range.text() : fmt::format("{}: {}", a_number_in(range.unit), range.text()));
    return std::nullopt;
}

std::optional<long long> read_whole(const Value& value, const std::string& key, const WholeRange& range,
                                    Problems& problems) {
    if (const auto* whole = std::get_if<std::int64_t>(&value.data))
        if (*whole >= range.min && *whole <= range.max) return *whole;
    problems.add(value, key, describe_found(value), range.text());
    return std::nullopt;
}

std::optional<std::string> read_text(const Value& value, const std::string& key, std::size_t bytes_max,
                                     Problems& problems) {
    const auto* text = std::get_if<std::string>(&value.data);
    if (text != nullptr && text->size() <= bytes_max) return *text;
    problems.add(value, key, describe_found(value), fmt::format("a text of at most {} bytes", bytes_max));
    return std::nullopt;
}

std::optional<bool> read_yes_no(const Value& value, const std::string& key, Problems& problems) {
    if (const auto* flag = std::get_if<bool>(&value.data)) return *flag;
    problems.add(value, key, describe_found(value), "true or false");
    return std::nullopt;
}

std::optional<double> time_of_day_s(std::string_view text) {
    const auto two_digits = [&](std::size_t at) -> std::optional<int> {
        int number = 0;
        if (at + 2 > text.size()) return std::nullopt;
        const char* end = text.data() + at + 2;
        const auto read = std::from_chars(text.data() + at, end, number);
        if (read.ec != std::errc{} || read.ptr != end || number < 0) return std::nullopt;
        return number;
    };
    if ((text.size() != 5 && text.size() != 8) || text[2] != ':' || (text.size() == 8 && text[5] != ':'))
        return std::nullopt;
    const auto hour = two_digits(0);
    const auto minute = two_digits(3);
    const auto second = text.size() == 8 ? two_digits(6) : 0;
    if (!hour || !minute || !second || *hour > 23 || *minute > 59 || *second > 59) return std::nullopt;
    return *hour * 3600.0 + *minute * 60.0 + *second;
}

std::optional<double> read_time_of_day(const Value& value, const std::string& key, Problems& problems) {
    if (const auto* time = std::get_if<TimeOfDay>(&value.data)) return time->seconds_from_midnight;
    if (const auto* text = std::get_if<std::string>(&value.data))
        if (const auto seconds = time_of_day_s(*text)) return seconds;
    problems.add(value, key, describe_found(value), "a time of day, 00:00:00 to 23:59:59 or \"HH:MM\"");
    return std::nullopt;
}

std::optional<std::chrono::year_month_day> read_date(const Value& value, const std::string& key,
                                                     Problems& problems) {
    if (const auto* date = std::get_if<std::chrono::year_month_day>(&value.data)) return *date;
    problems.add(value, key, describe_found(value), "a date written as 2030-05-17, without quotes");
    return std::nullopt;
}

std::optional<std::size_t> read_word(const Value& value, const std::string& key,
                                     const std::vector<std::string_view>& words, Problems& problems) {
    if (const auto* text = std::get_if<std::string>(&value.data)) {
        const auto found = std::find(words.begin(), words.end(), *text);
        if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
    }
    problems.add(value, key, describe_found(value), fmt::format("\"{}\"", fmt::join(words, "\", \"")));
    return std::nullopt;
}

std::optional<std::array<double, 2>> read_point(const Value& value, const std::string& key,
                                                const NumberRange& range, Problems& problems) {
    const auto* pair = std::get_if<Value::List>(&value.data);
    if (pair == nullptr || pair->size() != 2) {
        problems.add(value, key, describe_found(value), "a list of two numbers");
        return std::nullopt;
    }
    const auto first = read_number((*pair)[0], key, range, problems);
    const auto second = read_number((*pair)[1], key, range, problems);
    if (!first || !second) return std::nullopt;
    return std::array{*first, *second};
}

const Value::List* read_list(const Value& value, const std::string& key, const CountRange& count,
                             std::string_view of_what, Problems& problems) {
    const auto* list = std::get_if<Value::List>(&value.data);
    if (list != nullptr && list->size() >= count.min && list->size() <= count.max) return list;
    problems.add(value, key, describe_found(value), fmt::format("a list of {} {}", count.text(), of_what));
    return nullptr;
}

const Value::Table* read_table(const Value& value, const std::string& key, Problems& problems) {
    if (const auto* table = std::get_if<Value::Table>(&value.data)) return table;
    problems.add(value, key, describe_found(value), fmt::format("a table, [{}]", key));
    return nullptr;
}

namespace {

std::size_t edit_distance(std::string_view left, std::string_view right) {
    std::vector<std::size_t> row(right.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 1; i <= left.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= right.size(); ++j) {
            const std::size_t replaced = diagonal + (left[i - 1] == right[j - 1] ? 0 : 1);
            diagonal = row[j];
            row[j] = std::min({replaced, row[j] + 1, row[j - 1] + 1});
        }
    }
    return row.back();
}

}  // namespace

std::optional<std::string> nearest_name(std::string_view name, const std::vector<std::string>& names) {
    constexpr std::size_t compared_max = 64;  // no key is longer; keeps a megabyte-long name cheap
    if (name.size() > compared_max) return std::nullopt;
    // A letter wrong, missing or too many: turn, turns.
    for (const std::string& candidate : names)
        if (name.size() > 2 && edit_distance(name, candidate) == 1) return candidate;
    // A name without its unit means the key with it, whatever else is spelt alike: wire_area, wire_area_mm2.
    for (const std::string& candidate : names)
        if (!name.empty() && candidate.size() > name.size() && candidate.starts_with(name) &&
            candidate[name.size()] == '_')
            return candidate;
    const std::string* nearest = nullptr;
    std::size_t least = std::max<std::size_t>(2, name.size() / 3) + 1;
    for (const std::string& candidate : names) {
        const std::size_t distance = edit_distance(name, candidate);
        if (distance < least && distance < candidate.size()) {
            least = distance;
            nearest = &candidate;
        }
    }
    return nearest != nullptr ? std::optional(*nearest) : std::nullopt;
}

std::string toml_text(std::string_view text) {
    std::string quoted = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') quoted += '\\';
        if (c == '\n')
            quoted += "\\n";
        else if (c == '\t')
            quoted += "\\t";
        else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f)
            quoted += fmt::format("\\u{:04X}", static_cast<unsigned>(c));
        else
            quoted += c;
    }
    return quoted + '"';
}

std::string toml_time_of_day(double seconds_from_midnight) {
    const auto ms = std::llround(seconds_from_midnight * 1000);
    const auto whole_s = ms / 1000;
    std::string text = base::clock_text(static_cast<double>(whole_s));
    if (ms % 1000 != 0) text += fmt::format(".{:03}", ms % 1000);
    return text;
}

}  // namespace ampturn::plan::tree
