#include <fmt/format.h>

#include "scheduler/program_help/completions.hpp"

namespace ampturn::program_help {

namespace {

/// Text inside single quotes of a specification, where brackets and colons mean something.
std::string zsh_text(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '\'')
            out += "'\\''";
        else if (c == '[' || c == ']' || c == ':' || c == '\\')
            out += std::string("\\") + c;
        else
            out += c == '\n' ? ' ' : c;
    }
    return out;
}

std::string action(const OptionWords& option) {
    if (!option.choices.empty()) return fmt::format("({})", fmt::join(option.choices, " "));
    return option.names_path() ? "_files" : " ";
}

std::string specifications(const CommandWords& command) {
    std::string text;
    for (const OptionWords& option : command.options)
        for (const std::string& name : option.names) {
            const char* equals = option.is_flag() || !name.starts_with("--") ? "" : "=";
            text += fmt::format(" \\\n                '*{}{}[{}]", name, equals, zsh_text(option.help));
            if (!option.is_flag()) text += fmt::format(":{}:{}", zsh_text(option.value), action(option));
            text += "'";
        }
    for (const OptionWords& positional : command.positionals)
        text += fmt::format(" \\\n                '{}:{}:{}'", positional.repeated ? "*" : "",
                            zsh_text(positional.value), action(positional));
    return text;
}

}  // namespace

std::string zsh_completion(const CommandWords& program) {
    std::string names, cases;
    for (const CommandWords& command : program.commands) {
        names += fmt::format("                '{}:{}'\n", command.name, zsh_text(command.help));
        cases += fmt::format("                {})\n            _arguments -s{}\n                ;;\n",
                             command.name, specifications(command));
    }
    return fmt::format(
        R"(#compdef {program}
# Completes {program} in zsh. Made from the program's own command line.
{function}()
{{
    local curcontext="$curcontext" state line
    typeset -A opt_args
    _arguments -C -s{own} \
                '1:command:->command' \
                '*::argument:->argument'
    case $state in
        command)
            local -a commands
            commands=(
{names}            )
            _describe command commands
            ;;
        argument)
            case $line[1] in
{cases}            esac
            ;;
    esac
}}
{function} "$@"
)",
        fmt::arg("program", program.name), fmt::arg("function", function_name(program)),
        fmt::arg("own", specifications(program)), fmt::arg("names", names), fmt::arg("cases", cases));
}

}  // namespace ampturn::program_help
