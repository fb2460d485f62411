#include "scheduler/plan/explain/key_reference.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>

#include "scheduler/plan/file/config.hpp"

namespace ampturn::plan::explain {

using file::KeyInfo;
using file::plan_key_infos;

namespace {

void flatten_into(const std::vector<KeyInfo>& infos, const std::string& prefix, bool in_list,
                  std::vector<FlatKey>& flat) {
    for (const KeyInfo& info : infos) {
        const std::string full_key = prefix.empty() ? info.name : prefix + "." + info.name;
        flat.push_back({full_key, &info, in_list});
        flatten_into(info.children, full_key, in_list || info.repeated, flat);
    }
}

std::string cell(const std::string& text) {
    std::string escaped;
    for (const char c : text) {
        if (c == '|') escaped += '\\';
        escaped += c;
    }
    return escaped;
}

std::string table_markdown(const FlatKey& table) {
    std::string text = fmt::format("\n## `{}`\n\n{}", header_of(table), table.info->help);
    if (table.info->repeated) text += fmt::format(" There may be {}.", table.info->allowed);
    if (table.info->required)
        text += " Required.\n";
    else if (table.info->when_absent.empty())
        text += " Optional.\n";
    else
        text += fmt::format(" Optional; without it: {}.\n", table.info->when_absent);
    const bool leaves = std::any_of(table.info->children.begin(), table.info->children.end(),
                                    [](const KeyInfo& child) { return child.children.empty(); });
    return leaves ? text + "\n" + key_table_markdown(table.info->children) : text;
}

// "station[3].name" to "station.name".
std::string without_numbers(const std::string& key) {
    std::string plain;
    bool inside = false;
    for (const char c : key) {
        if (c == '[') inside = true;
        if (!inside) plain += c;
        if (c == ']') inside = false;
    }
    return plain;
}

}  // namespace

std::string header_of(const FlatKey& key) {
    return key.info->repeated ? fmt::format("[[{}]]", key.full_key) : fmt::format("[{}]", key.full_key);
}

std::vector<FlatKey> flatten(const std::vector<KeyInfo>& all) {
    std::vector<FlatKey> flat;
    flatten_into(all, "", false, flat);
    return flat;
}

std::string key_table_markdown(const std::vector<KeyInfo>& keys) {
    std::string text = "| key | unit | allowed | default | meaning |\n|---|---|---|---|---|\n";
    for (const KeyInfo& key : keys) {
        if (!key.children.empty()) continue;
        std::string meaning = key.help;
        if (!key.source.empty()) meaning += fmt::format(" *Source: {}.*", key.source);
        const std::string absent = key.required || key.default_text.empty()
                                       ? key.default_words()
                                       : fmt::format("`{}`", key.default_text);
        text += fmt::format("| `{}` | {} | {} | {} | {} |\n", key.name, key.unit, cell(key.allowed), absent,
                            cell(meaning));
    }
    return text;
}

std::string configuration_markdown() {
    std::string text =
        "# The plan file\n\n"
        "<!-- Made by `ampturn explain --markdown`; a test compares. "
        "Change the keys in scheduler/plan/file, not this page. -->\n\n"
        "A plan is one TOML 1.0 file of at most 4 MB. "
        "`ampturn check PLAN` reads it and points at whatever will not do, by line, column and key; "
        "`ampturn explain KEY` prints what stands here. Keys that are not listed are errors. "
        "A name ends in its unit. Azimuths are degrees clockwise from true north; x is north, y east; "
        "currents are peak unless the name says rms. Messages count list entries from 1: "
        "`station[3]` is the third `[[station]]`. NaN and infinity are never allowed.\n\n"
        "Defaults marked *common practice, no source* are what crews use; "
        "change them to what yours knows.\n";
    for (const FlatKey& key : flatten(plan_key_infos()))
        if (!key.info->children.empty()) text += table_markdown(key);
    return text;
}

std::string explain_all() {
    std::string text;
    for (const FlatKey& key : flatten(plan_key_infos())) {
        if (!key.info->children.empty()) {
            text += fmt::format("\n{}  {}\n", header_of(key), key.info->help);
            continue;
        }
        text += fmt::format("  {:<44} {:<14} {}\n", key.full_key, key.info->unit, key.info->default_words());
    }
    return text;
}

namespace {

/// A full key with each part that was renamed under its new name.
std::string in_names_of_now(const std::string& full_key) {
    std::string out;
    for (std::size_t begin = 0; begin <= full_key.size();) {
        const std::size_t end = std::min(full_key.find('.', begin), full_key.size());
        const std::string part = full_key.substr(begin, end - begin);
        out += (out.empty() ? "" : ".") + std::string(file::name_now(part).value_or(part));
        begin = end + 1;
    }
    return out;
}

}  // namespace

std::optional<std::string> explain_key(const std::string& key) {
    const std::string plain = without_numbers(key);
    for (const FlatKey& known : flatten(plan_key_infos())) {
        if (known.full_key != plain) continue;
        const KeyInfo& info = *known.info;
        std::string text =
            fmt::format("{}\n  {}\n", info.children.empty() ? plain : header_of(known), info.help);
        const auto line = [&](const char* label, const std::string& words) {
            if (!words.empty()) text += fmt::format("  {:<9}{}\n", label, words);
        };
        line("type", info.type);
        line("unit", info.unit);
        line("allowed", info.allowed);
        line("default", info.default_words());
        line("source", info.source);
        for (const KeyInfo& child : info.children)
            text +=
                fmt::format("  {}.{:<32} {:<14} {}\n", plain, child.name, child.unit, child.default_words());
        return text;
    }
    return std::nullopt;
}

std::optional<std::string> name_now_of(const std::string& full_key) {
    const std::string now = in_names_of_now(without_numbers(full_key));
    for (const FlatKey& known : flatten(plan_key_infos()))
        if (known.full_key == now) return now;
    return std::nullopt;
}

}  // namespace ampturn::plan::explain
