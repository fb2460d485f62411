#include "scheduler/program_help/program_words.hpp"

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <array>
#include <cctype>
#include <string_view>

namespace ampturn::program_help {

namespace {

std::vector<std::string> split(std::string_view text, char at) {
    std::vector<std::string> parts;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(at), text.size());
        parts.emplace_back(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return parts;
}

/// The type as the library writes it: "TEXT", "TEXT:{planned,improved}", "INT:INT in [1 - 20]".
void read_type(const std::string& type, OptionWords& words) {
    const std::size_t colon = type.find(':');
    words.value = type.substr(0, colon);
    if (colon == std::string::npos) return;
    const std::string check = type.substr(colon + 1);
    const std::size_t open = check.find_first_of("{["), close = check.find_first_of("}]");
    if (open == std::string::npos || close == std::string::npos) return;
    const std::string inside = check.substr(open + 1, close - open - 1);
    if (check[open] == '{')
        words.choices = split(inside, ',');
    else
        words.range = inside;
}

std::vector<std::string> names_of(const std::set<CLI::Option*>& options) {
    std::vector<std::string> names;
    for (const CLI::Option* option : options) names.push_back(option->get_name());
    std::sort(names.begin(), names.end());  // the set is in the order of addresses
    return names;
}

OptionWords option_words(const CLI::Option& option) {
    OptionWords words;
    for (const std::string& name : option.get_snames()) words.names.push_back("-" + name);
    for (const std::string& name : option.get_lnames()) words.names.push_back("--" + name);
    words.help = option.get_description();
    words.required = option.get_required();
    words.repeated = option.get_items_expected_max() > 1;
    words.needs = names_of(option.get_needs());
    words.excludes = names_of(option.get_excludes());
    if (option.get_items_expected_max() == 0) return words;  // a flag
    read_type(option.get_type_name(), words);
    words.default_text = option.get_default_str();
    if (option.get_positional())
        words.value = option.get_name(true);
    else if (!option.get_option_text().empty())
        words.value = option.get_option_text();
    return words;
}

bool is_word_character(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '\''; }

bool has_word(std::string_view text, std::string_view word) {
    for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
        const std::size_t end = at + word.size();
        if ((at == 0 || !is_word_character(text[at - 1])) &&
            (end == text.size() || !is_word_character(text[end])))
            return true;
    }
    return false;
}

}  // namespace

bool OptionWords::names_path() const {
    constexpr std::array values{"PLAN", "FILE", "FOLDER", "PREFIX"};
    constexpr std::array helps{"file", "File", "Files", "folder", "Folder"};
    if (is_flag() || is_number()) return false;
    return std::any_of(values.begin(), values.end(), [&](const char* word) { return value == word; }) ||
           std::any_of(helps.begin(), helps.end(), [&](const char* word) { return has_word(help, word); });
}

std::vector<std::string> CommandWords::option_names() const {
    std::vector<std::string> all;
    for (const OptionWords& option : options) all.insert(all.end(), option.names.begin(), option.names.end());
    return all;
}

CommandWords words_of(const CLI::App& app) {
    CommandWords words;
    words.name = app.get_name();
    words.help = app.get_description();
    words.footer = app.get_footer();
    words.command_required = app.get_require_subcommand_min() > 0;
    for (const CLI::Option* option : app.get_options([](const CLI::Option*) { return true; }))
        (option->get_positional() ? words.positionals : words.options).push_back(option_words(*option));
    for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; }))
        words.commands.push_back(words_of(*command));
    return words;
}

}  // namespace ampturn::program_help
