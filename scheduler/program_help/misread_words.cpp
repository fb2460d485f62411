#include "scheduler/program_help/misread_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/App.hpp>
#include <string_view>
#include <vector>

#include "scheduler/plan/tree/config_read.hpp"

namespace ampturn::program_help {

namespace {

std::string name_of_flag(std::string_view word) { return std::string(word.substr(0, word.find('='))); }

std::string unknown_command(const CLI::App& app, const std::string& word) {
    std::vector<std::string> names;
    for (const CLI::App* command : app.get_subcommands({})) names.push_back(command->get_name());
    const auto nearest = plan::tree::nearest_name(word, names);
    return fmt::format("found no command \"{}\", allowed {}", word,
                       nearest ? fmt::format("the nearest one, \"{}\"", *nearest)
                               : fmt::format("one of {}", fmt::join(names, ", ")));
}

/// Of the first flag, from a word on, that the command has not; empty where it has all.
std::string unknown_flag(const CLI::App& command, int first, int argc, char** argv) {
    std::vector<std::string> names;
    for (const CLI::Option* option : command.get_options({}))
        for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
    for (int i = first; i < argc && std::string_view(argv[i]) != "--"; ++i) {
        const std::string name = name_of_flag(argv[i]);
        if (!name.starts_with("--") || command.get_option_no_throw(name) != nullptr) continue;
        const auto nearest = plan::tree::nearest_name(name, names);
        return fmt::format("{}: found an unknown flag, allowed {}", name,
                           nearest ? fmt::format("the nearest one, \"{}\"", *nearest)
                                   : fmt::format("one of {}", fmt::join(names, ", ")));
    }
    return "";
}

}  // namespace

std::string misread_text(const CLI::App& app, int argc, char** argv, const std::string& reason) {
    const std::string word = argc > 1 ? argv[1] : "";
    const CLI::App* command = nullptr;
    for (const CLI::App* one : app.get_subcommands({}))
        if (one->get_name() == word) command = one;
    std::string wrong;
    if (command != nullptr)
        wrong = unknown_flag(*command, 2, argc, argv);
    else if (word.starts_with('-'))
        wrong = unknown_flag(app, 1, argc, argv);
    else if (!word.empty())
        wrong = unknown_command(app, word);
    return fmt::format("{}; see `{} {}--help`", wrong.empty() ? reason : wrong, app.get_name(),
                       command != nullptr ? word + " " : "");
}

}  // namespace ampturn::program_help
