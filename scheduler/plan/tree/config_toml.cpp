#include "scheduler/plan/tree/config_toml.hpp"
#include "scheduler/plan/tree/former_names.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <charconv>
#include <optional>
#include <utility>

#include "scheduler/base/json.hpp"
#include "scheduler/base/nesting.hpp"
#include "scheduler/plan/tree/setting_key.hpp"

namespace ampturn::plan::tree {

namespace {

base::Position position_of(const toml::source_region& region) {
    return {static_cast<int>(region.begin.line), static_cast<int>(region.begin.column)};
}

std::chrono::year_month_day date_of(const toml::date& date) {
    return {std::chrono::year{date.year}, std::chrono::month{date.month}, std::chrono::day{date.day}};
}

TimeOfDay time_of(const toml::time& time) {
    return {time.hour * 3600.0 + time.minute * 60.0 + time.second + time.nanosecond * 1e-9};
}

Value value_of(const toml::node& node) {
    Value value{.data = false, .position = position_of(node.source())};
    node.visit([&](const auto& typed) {
        using Node = std::remove_cvref_t<decltype(typed)>;
        if constexpr (toml::is_table<Node>) {
            Value::Table members;
            for (const auto& [key, member] : typed)
                members.push_back({std::string(key.str()), position_of(key.source()), value_of(member)});
            value.data = std::move(members);
        } else if constexpr (toml::is_array<Node>) {
            Value::List entries;
            for (const auto& entry : typed) entries.push_back(value_of(entry));
            value.data = std::move(entries);
        } else if constexpr (toml::is_date<Node>) {
            value.data = date_of(*typed);
        } else if constexpr (toml::is_time<Node>) {
            value.data = time_of(*typed);
        } else if constexpr (toml::is_date_time<Node>) {
            value.data = fmt::format("a date with a time of day");
        } else {
            value.data = *typed;
        }
    });
    return value;
}

std::string_view line_of(std::string_view text, int number) {
    for (int line = 1; line < number && !text.empty(); ++line)
        text.remove_prefix(std::min(text.find('\n'), text.size() - 1) + 1);
    return text.substr(0, text.find('\n'));
}

/// What TOML allows instead of what people write most in a line KEY = VALUE: a decimal comma, a unit behind a number, text
/// without quotes.
std::string allowed_instead(std::string_view line) {
    const auto is_letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    const std::size_t value = line.find_first_not_of(" \t+-", std::min(line.find('='), line.size() - 1) + 1);
    if (line.empty() || value == std::string_view::npos) return "TOML 1.0";
    if (is_letter(line[value]))
        return "TOML 1.0: text stands in quotes, \"like this\"; only true and false do not";
    const std::size_t behind = line.find_first_not_of("0123456789._", value);
    if (!is_digit(line[value]) || behind == std::string_view::npos) return "TOML 1.0";
    if (line[behind] == ',' && behind + 1 < line.size() && is_digit(line[behind + 1]))
        return "TOML 1.0: a decimal point, 20.5, not a comma";
    const std::size_t word = line.find_first_not_of(" \t", behind);
    if (word != std::string_view::npos && (is_letter(line[word]) || line[word] == '%'))
        return "TOML 1.0: a number alone; its unit stands in the name of the key";
    return "TOML 1.0";
}

}  // namespace

Value parse_toml(std::string_view text, const std::string& path) {
    if (const auto at = base::toml_key_too_long(text))
        throw base::InputError(
            {path, base::position_of_byte(text, *at), "", "a key of more names", base::key_parts_allowed});
    try {
        return value_of(toml::parse(text));
    } catch (const toml::parse_error& error) {
        throw base::InputError({path, position_of(error.source()), "",
                                fmt::format("a TOML syntax error: {}", error.description()),
                                allowed_instead(line_of(text, static_cast<int>(error.source().begin.line)))});
    }
}

Setting parse_setting(const std::string& text) {
    const auto cut = text.find('=');
    if (cut == std::string::npos || cut == 0)
        throw base::InputError({"--set", {}, "", fmt::format("\"{}\"", text), "KEY=VALUE"});
    return {text.substr(0, cut), text.substr(cut + 1)};
}

Value value_of_text(const std::string& text, const std::string& given_by) {
    Value value{.data = text, .position = {}};
    if (base::toml_key_too_long(text)) {
        value.given_by = given_by;
        return value;
    }
    try {
        const toml::table table = toml::parse("value = " + text);
        value = value_of(*table.get("value"));
    } catch (const toml::parse_error&) {
        value = {.data = text, .position = {}};
    }
    value.position = {};
    value.given_by = given_by;
    return value;
}

std::vector<KeyPart> split_key(const Setting& setting) {
    const auto refuse = [&] {
        return base::InputError({"--set",
                                 {},
                                 setting.key,
                                 "a key that cannot be read",
                                 "names joined by dots, list entries as [1], [2] ..."});
    };
    std::vector<KeyPart> parts;
    std::size_t at = 0;
    while (true) {
        const std::size_t end = std::min(setting.key.find('.', at), setting.key.size());
        std::string text = setting.key.substr(at, end - at);
        KeyPart part;
        const std::size_t bracket = text.find('[');
        part.name = text.substr(0, bracket);
        if (part.name.empty()) throw refuse();
        for (std::size_t open = bracket; open < text.size();) {
            const std::size_t close = text.find(']', open);
            std::size_t entry = 0;
            if (text[open] != '[' || close == std::string::npos) throw refuse();
            const auto read = std::from_chars(text.data() + open + 1, text.data() + close, entry);
            if (read.ec != std::errc{} || read.ptr != text.data() + close || entry == 0) throw refuse();
            part.entries.push_back(entry);
            open = close + 1;
        }
        parts.push_back(std::move(part));
        if (parts.size() > base::key_parts_max) throw refuse();
        if (end == setting.key.size()) return parts;
        at = end + 1;
    }
}

void apply_setting(Value& root, const Setting& setting) {
    const std::vector<KeyPart> parts = split_key(setting);
    Value* here = &root;
    for (const KeyPart& part : parts) {
        auto* table = std::get_if<Value::Table>(&here->data);
        if (table == nullptr)
            throw base::InputError(
                {"--set", {}, setting.key, describe_found(*here) + " on the way", "a table"});
        auto member =
            std::find_if(table->begin(), table->end(), [&](const Member& m) { return m.name >= part.name; });
        if (member == table->end() || member->name != part.name)
            member = table->insert(
                member, {part.name, {}, {.data = Value::Table{}, .position = {}, .given_by = "--set"}});
        here = &member->value;
        for (const std::size_t entry : part.entries) {
            auto* list = std::get_if<Value::List>(&here->data);
            const auto now = name_now(part.name);
            if (list == nullptr || entry > list->size())
                throw base::InputError(
                    {"--set",
                     {},
                     setting.key,
                     list == nullptr ? "no list there" : fmt::format("a list of {} there", list->size()),
                     now ? fmt::format("\"{}\", its name now", *now)
                         : std::string("an entry that the file has")});
            here = &(*list)[entry - 1];
        }
    }
    *here = value_of_text(setting.value, "--set");
}

}  // namespace ampturn::plan::tree
