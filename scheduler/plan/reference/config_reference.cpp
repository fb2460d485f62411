#include "scheduler/plan/reference/config_reference.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cstddef>

#include "scheduler/plan/file/config.hpp"

namespace ampturn::plan::reference {

using namespace file;

namespace {

void flatten_into(const std::vector<KeyInfo>& infos, const std::string& prefix, bool in_list,
                  std::vector<FlatKey>& flat) {
    for (const KeyInfo& info : infos) {
        const std::string full_key = prefix.empty() ? info.name : prefix + "." + info.name;
        flat.push_back({full_key, &info, in_list});
        flatten_into(info.children, full_key, in_list || info.repeated, flat);
    }
}

std::string default_words(const KeyInfo& info) {
    if (info.required) return "required";
    return info.when_absent.empty() ? info.default_text : info.when_absent;
}

std::string header_of(const FlatKey& key) {
    return key.info->repeated ? fmt::format("[[{}]]", key.full_key) : fmt::format("[{}]", key.full_key);
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
    if (!leaves) return text;
    text += "\n| key | unit | allowed | default | meaning |\n|---|---|---|---|---|\n";
    for (const KeyInfo& child : table.info->children) {
        if (!child.children.empty()) continue;
        std::string meaning = child.help;
        if (!child.source.empty()) meaning += fmt::format(" *Source: {}.*", child.source);
        const std::string absent = child.required || child.default_text.empty()
                                       ? default_words(child)
                                       : fmt::format("`{}`", child.default_text);
        text += fmt::format("| `{}` | {} | {} | {} | {} |\n", child.name, child.unit, cell(child.allowed),
                            absent, cell(meaning));
    }
    return text;
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

std::vector<FlatKey> flatten(const std::vector<KeyInfo>& all) {
    std::vector<FlatKey> flat;
    flatten_into(all, "", false, flat);
    return flat;
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
        text += fmt::format("  {:<44} {:<14} {}\n", key.full_key, key.info->unit, default_words(*key.info));
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
        out += (out.empty() ? "" : ".") + std::string(name_now(part).value_or(part));
        begin = end + 1;
    }
    return out;
}

}  // namespace

namespace {

std::string lower_case(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

/// A line for each key that has the word in its name or its help; empty when none has, or it is too short to tell.
std::string keys_with_word(const std::string& text) {
    constexpr std::size_t letters_least = 3;
    if (text.size() < letters_least) return "";
    const std::string word = lower_case(text);
    std::string out;
    for (const FlatKey& known : flatten(plan_key_infos()))
        if (lower_case(known.full_key).find(word) != std::string::npos ||
            lower_case(known.info->help).find(word) != std::string::npos)
            out += fmt::format("{}\n  {}\n", known.info->children.empty() ? known.full_key : header_of(known),
                               known.info->help);
    return out;
}

}  // namespace

std::string explain_key(const std::string& key) {
    const std::string plain = without_numbers(key);
    std::vector<std::string> names;
    for (const FlatKey& known : flatten(plan_key_infos())) {
        names.push_back(known.full_key);
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
        line("default", default_words(info));
        line("source", info.source);
        for (const KeyInfo& child : info.children)
            text +=
                fmt::format("  {}.{:<32} {:<14} {}\n", plain, child.name, child.unit, default_words(child));
        return text;
    }
    const std::string now = in_names_of_now(plain);
    const bool renamed = std::find(names.begin(), names.end(), now) != names.end();
    if (!renamed)
        if (std::string found = keys_with_word(plain); !found.empty()) return found;
    const auto nearest = nearest_name(plain, names);
    throw base::InputError({"",
                            {},
                            key,
                            "an unknown key",
                            renamed   ? fmt::format("\"{}\", its name now", now)
                            : nearest ? fmt::format("the nearest known key \"{}\"", *nearest)
                                      : std::string("a key that `ampturn explain` lists")});
}

}  // namespace ampturn::plan::reference
