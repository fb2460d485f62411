#include "scheduler/cli/misread_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/App.hpp>
#include <string_view>
#include <vector>

#include "scheduler/plan/tree/config_read.hpp"

namespace ampturn::cli {

namespace {

struct Renamed {
    std::string_view then, now;
};
constexpr Renamed commands[] = {{"lines", "frequencies"}, {"rig", "transmitter"}};
constexpr Renamed flags[] = {{"--stand", "--site"}};

std::string is_called(const Renamed& renamed) {
    return fmt::format("`{}` is called `{}` now; ", renamed.then, renamed.now);
}

std::string name_of_flag(std::string_view word) { return std::string(word.substr(0, word.find('='))); }

std::string former_names_used(int argc, char** argv) {
    std::string out;
    for (const Renamed& command : commands)
        if (argc > 1 && argv[1] == command.then) out += is_called(command);
    for (int i = 1; i < argc; ++i) {
        const std::string name = name_of_flag(argv[i]);
        for (const Renamed& flag : flags)
            if (name == flag.then) out += is_called(flag);
    }
    return out;
}

std::string unknown_command(const CLI::App& app, const std::string& word) {
    std::vector<std::string> names;
    for (const CLI::App* command : app.get_subcommands({})) names.push_back(command->get_name());
    const auto nearest = plan::tree::nearest_name(word, names);
    return fmt::format("found no command \"{}\", allowed {}", word,
                       nearest ? fmt::format("the nearest one, \"{}\"", *nearest)
                               : fmt::format("one of {}", fmt::join(names, ", ")));
}

/// Of the first flag that the command has not; empty where it has all.
std::string unknown_flag(const CLI::App& command, int argc, char** argv) {
    std::vector<std::string> names;
    for (const CLI::Option* option : command.get_options({}))
        for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
    for (int i = 2; i < argc && std::string_view(argv[i]) != "--"; ++i) {
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
    const std::string former = former_names_used(argc, argv);
    std::string wrong = reason;
    if (former.empty() && command == nullptr && !word.empty() && word[0] != '-')
        wrong = unknown_command(app, word);
    if (former.empty() && command != nullptr)
        if (const std::string flag = unknown_flag(*command, argc, argv); !flag.empty()) wrong = flag;
    return fmt::format("{}{}; see `ampturn {}--help`", former, wrong, command != nullptr ? word + " " : "");
}

}  // namespace ampturn::cli
