#include "scheduler/plan/tree/edit_text.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cstddef>
#include <nlohmann/json.hpp>

#include "scheduler/plan/tree/setting_key.hpp"

namespace ampturn::plan::tree {

namespace {

/// The byte at which a place of the parser stands: it counts lines and characters, not bytes, from 1.
std::size_t byte_of(std::string_view text, const toml::source_position& place) {
    std::size_t at = 0;
    for (toml::source_index line = 1; line < place.line; ++line)
        at = std::min(text.find('\n', at), text.size() - 1) + 1;
    for (toml::source_index column = 1; column < place.column && at < text.size(); ++column) {
        ++at;
        while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xc0) == 0x80) ++at;
    }
    return at;
}

/// A value as TOML: what is not TOML is text.
std::string toml_text(const std::string& given) {
    try {
        static_cast<void>(toml::parse("value = " + given));
        if (given.find('\n') == std::string::npos) return given;
    } catch (const toml::parse_error&) {
    }
    return nlohmann::json(given).dump(-1, ' ', false,
                                      nlohmann::json::error_handler_t::replace);  // TOML has JSON's escapes
}

std::string bare_or_quoted(const std::string& name) {
    const bool bare =
        !name.empty() &&
        name.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-") ==
            std::string::npos;
    return bare ? name : toml_text('"' + name + '"');
}

std::size_t end_of_line(std::string_view text, std::size_t at) {
    return std::min(text.find('\n', at), text.size());
}

/// Behind the last line of what a table holds itself, tables with headers of their own left out; nothing when it holds nothing.
std::size_t end_of_own_lines(std::string_view text, const toml::table& table) {
    std::size_t end = 0;
    for (const auto& [key, member] : table) {
        const toml::table* below = member.as_table();
        const toml::array* list = member.as_array();
        if ((below != nullptr && !below->is_inline()) ||
            (list != nullptr && !list->empty() && list->get(0)->is_table() &&
             !list->get(0)->as_table()->is_inline()))
            continue;
        end = std::max(end, end_of_line(text, byte_of(text, member.source().end)));
    }
    return end;
}

/// Puts `line` in on a line of its own that begins at the byte.
void insert_line(std::string& text, std::size_t at, const std::string& line) {
    const bool behind_a_line = at > 0 && text[at - 1] != '\n';
    text.insert(at, (behind_a_line ? "\n" : "") + line + (at < text.size() && text[at] == '\n' ? "" : "\n"));
}

std::string joined(const std::vector<std::string>& names) {
    std::string key;
    for (const std::string& name : names) key += (key.empty() ? "" : ".") + bare_or_quoted(name);
    return key;
}

/// Whether a table stands in the file only as the first name of the headers of others.
bool has_no_header(const toml::table& table) {
    return std::any_of(table.begin(), table.end(), [&](const auto& member) {
        return member.second.is_table() && !member.second.as_table()->is_inline() &&
               member.second.source().begin == table.source().begin;
    });
}

/// A key that is missing, `names` below `table`, whose own names are `above`.
void insert(std::string& text, const toml::table& table, const std::vector<std::string>& above,
            std::vector<std::string> names, const std::string& value) {
    const std::string line = joined(names) + " = " + value;
    if (table.is_inline()) {
        const std::size_t brace = byte_of(text, table.source().end) - 1;
        text.insert(brace, table.empty()
                               ? ' ' + line + ' '
                               : (text[brace - 1] == ' ' ? "" : " ") + std::string(", ") + line + ' ');
        return;
    }
    const std::size_t end = end_of_own_lines(text, table);
    if (above.empty() ? names.size() > 1 : has_no_header(table)) {
        const std::string key = bare_or_quoted(names.back());
        names.pop_back();
        names.insert(names.begin(), above.begin(), above.end());
        if (!text.empty() && text.back() != '\n') text += '\n';
        text += fmt::format("\n[{}]\n{} = {}\n", joined(names), key, value);
    } else if (end > 0) {
        insert_line(text, end, line);
    } else if (above.empty()) {
        text.insert(0, line + "\n");
    } else {
        insert_line(text, end_of_line(text, byte_of(text, table.source().begin)), line);
    }
}

std::string with_setting(std::string text, const std::string& path, const Setting& setting) {
    Value tree = parse_toml(text, path);
    apply_setting(tree, setting);  // refuses what cannot be set
    const toml::table root = toml::parse(text);
    const std::string value = toml_text(setting.value);
    const toml::node* here = &root;
    const std::vector<KeyPart> parts = split_key(setting);
    std::vector<std::string> above;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const toml::table& table = *here->as_table();
        here = table.get(parts[i].name);
        if (here == nullptr) {
            std::vector<std::string> names;
            for (; i < parts.size(); ++i) names.push_back(parts[i].name);
            insert(text, table, above, names, value);
            return text;
        }
        above.push_back(parts[i].name);
        for (const std::size_t entry : parts[i].entries) here = here->as_array()->get(entry - 1);
    }
    const std::size_t begin = byte_of(text, here->source().begin), end = byte_of(text, here->source().end);
    return text.replace(begin, end - begin, value);
}

}  // namespace

std::string with_settings(std::string text, const std::string& path, const std::vector<Setting>& settings) {
    for (const Setting& setting : settings) text = with_setting(std::move(text), path, setting);
    return text;
}

}  // namespace ampturn::plan::tree
