#include <fmt/format.h>

#include <algorithm>

#include "scheduler/program_help/completions.hpp"

namespace ampturn::program_help {

namespace {

/// "day:--out|day:-o" of one option, for a pattern of `case`.
std::string pattern(const std::string& key, const OptionWords& option) {
    std::string text;
    for (const std::string& name : option.names)
        text += fmt::format("{}{}:{}", text.empty() ? "" : "|", key, name);
    return text;
}

std::string value_cases(const CommandWords& command, const std::string& key) {
    std::string text;
    for (const OptionWords& option : command.options) {
        if (option.is_flag()) continue;
        std::string what = "return";
        if (!option.choices.empty())
            what = fmt::format("words='{}'; only_words=yes", fmt::join(option.choices, " "));
        else if (option.names_path())
            what = "files=yes; only_words=yes";
        text += fmt::format("        {}) {} ;;\n", pattern(key, option), what);
    }
    return text;
}

std::string word_case(const CommandWords& command, const std::string& key) {
    std::string words = fmt::format("{}", fmt::join(command.option_names(), " "));
    const bool paths = std::any_of(command.positionals.begin(), command.positionals.end(),
                                   [](const OptionWords& positional) { return positional.names_path(); });
    return fmt::format("            {}) options='{}'{} ;;\n", key, words, paths ? "; files=yes" : "");
}

}  // namespace

std::string function_name(const CommandWords& program) {
    std::string name = "_" + program.name;
    std::replace(name.begin(), name.end(), '-', '_');
    return name;
}

std::string bash_completion(const CommandWords& program) {
    std::vector<std::string> names;
    for (const CommandWords& command : program.commands) names.push_back(command.name);
    std::string values = value_cases(program, "");
    std::string words = word_case(program, "''");
    for (const CommandWords& command : program.commands) {
        values += value_cases(command, command.name);
        words += word_case(command, command.name);
    }
    return fmt::format(
        R"(# Completes {program} in bash. Made from the program's own command line.
{function}()
{{
    local current=${{COMP_WORDS[COMP_CWORD]}} before=${{COMP_WORDS[COMP_CWORD-1]}}
    local command= word words= options= files= only_words=
    # "--out=FOLDER" comes as three words.
    if [[ $current == '=' ]]; then
        current=
    elif [[ $before == '=' ]]; then
        before=${{COMP_WORDS[COMP_CWORD-2]}}
    fi
    for word in "${{COMP_WORDS[@]:1:COMP_CWORD-1}}"; do
        case $word in
            {commands_pattern}) command=$word; break ;;
        esac
    done
    case $command:$before in
{values}    esac
    if [[ ! $only_words ]]; then
        case $command in
{words}        esac
        [[ $command ]] || words='{commands}'
        [[ $current != -* ]] || {{ words=$options; files=; }}
    fi
    COMPREPLY=($(compgen -W "$words" -- "$current"))
    if [[ $files ]]; then
        compopt -o filenames 2>/dev/null
        while IFS= read -r word; do
            COMPREPLY+=("$word")
        done < <(compgen -f -- "$current")
    fi
}}
complete -F {function} {program}
)",
        fmt::arg("program", program.name), fmt::arg("function", function_name(program)),
        fmt::arg("commands_pattern", fmt::join(names, "|")), fmt::arg("commands", fmt::join(names, " ")),
        fmt::arg("values", values), fmt::arg("words", words));
}

}  // namespace ampturn::program_help
