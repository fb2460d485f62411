#include <fmt/format.h>

#include "scheduler/program_help/completions.hpp"

namespace ampturn::program_help {

namespace {

std::string fish_text(std::string_view text) {
    std::string out = "'";
    for (const char c : text) {
        if (c == '\'' || c == '\\') out += '\\';
        out += c == '\n' ? ' ' : c;
    }
    return out + "'";
}

std::string options_of(const CommandWords& command, const std::string& begin) {
    std::string text;
    for (const OptionWords& option : command.options) {
        text += begin;
        for (const std::string& name : option.names)
            text += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
        if (!option.choices.empty())
            text += " -x -a " + fish_text(fmt::format("{}", fmt::join(option.choices, " ")));
        else if (option.names_path())
            text += " -r -F";
        else if (!option.is_flag())
            text += " -x";
        text += " -d " + fish_text(option.help) + "\n";
    }
    for (const OptionWords& positional : command.positionals)
        if (positional.names_path()) text += begin + " -F\n";
    return text;
}

}  // namespace

std::string fish_completion(const CommandWords& program) {
    std::string text = fmt::format(
        "# Completes {0} in fish. Made from the program's own command line.\ncomplete -c {0} -f\n",
        program.name);
    text += options_of(program, fmt::format("complete -c {} -n __fish_use_subcommand", program.name));
    for (const CommandWords& command : program.commands) {
        text += fmt::format("complete -c {} -n __fish_use_subcommand -a {} -d {}\n", program.name,
                            command.name, fish_text(command.help));
        text += options_of(command, fmt::format("complete -c {} -n '__fish_seen_subcommand_from {}'",
                                                program.name, command.name));
    }
    return text;
}

}  // namespace ampturn::program_help
