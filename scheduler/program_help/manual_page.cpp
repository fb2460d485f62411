#include "scheduler/program_help/manual_page.hpp"

#include <fmt/format.h>

#include <cctype>

#include "scheduler/program_help/roff.hpp"

namespace ampturn::program_help {

namespace {

std::string upper(std::string text) {
    for (char& c : text) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    return text;
}

/// As roff, without the line's end.
std::string bold(std::string_view text) {
    std::string line = roff_line(text);
    line.pop_back();
    return "\\fB" + line + "\\fR";
}

std::string italic(std::string_view text) {
    std::string line = roff_line(text);
    line.pop_back();
    return "\\fI" + line + "\\fR";
}

std::string heading(const OptionWords& option) {
    if (option.names.empty()) return italic(option.value) + (option.repeated ? " ..." : "");
    std::string names;
    for (const std::string& name : option.names) names += (names.empty() ? "" : ", ") + bold(name);
    return option.is_flag() ? names : names + " " + italic(option.value) + (option.repeated ? " ..." : "");
}

std::string list_text(const char* label, const std::vector<std::string>& words) {
    return words.empty() ? "" : fmt::format(" {} {}.", label, fmt::join(words, ", "));
}

/// The help, closed by a full stop, and what the command line knows of the value.
std::string explanation(const OptionWords& option) {
    std::string text = option.help;
    if (!text.empty() && text.back() != '.' && text.back() != '?') text += ".";
    text += list_text("One of:", option.choices);
    if (!option.range.empty()) text += fmt::format(" Allowed: {}.", option.range);
    if (!option.default_text.empty()) text += fmt::format(" Default: {}.", option.default_text);
    if (option.required && !option.names.empty()) text += " Required.";
    text += list_text("Needs:", option.needs);
    text += list_text("Not with:", option.excludes);
    return text;
}

std::string option_list(const CommandWords& words) {
    std::string text;
    for (const auto* list : {&words.positionals, &words.options})
        for (const OptionWords& option : *list)
            text += ".TP\n" + heading(option) + "\n" + roff_text(explanation(option));
    return text;
}

std::string call_of(const std::string& program, const CommandWords* command, const CommandWords& words) {
    std::string text = bold(program);
    if (command != nullptr) text += " " + bold(command->name);
    if (!words.options.empty()) text += " [" + italic("OPTIONS") + "]";
    for (const OptionWords& positional : words.positionals) {
        const std::string name = italic(positional.value) + (positional.repeated ? "..." : "");
        text += positional.required ? " " + name : " [" + name + "]";
    }
    return text;
}

std::string command_section(const CommandWords& program, const CommandWords& command) {
    std::string help = command.help;
    if (!help.empty() && help.back() != '.') help += ".";
    return fmt::format(".SS {}\n{}\n.PP\n{}", command.name, call_of(program.name, &command, command),
                       roff_text(help)) +
           option_list(command) + roff_paragraphs(command.footer);
}

}  // namespace

std::string manual_page(const CommandWords& program, const PageFrame& frame) {
    std::string text = fmt::format(".TH {} 1 {} \"ampturn {}\" \"User Commands\"\n", upper(program.name),
                                   frame.edition.date, frame.edition.version);
    text += ".SH NAME\n" + roff_text(program.name) + "\\- " + std::string(frame.summary) + "\n.SH SYNOPSIS\n";
    if (!program.command_required) text += call_of(program.name, nullptr, program) + "\n.br\n";
    text += fmt::format("{} {} [{}]\n", bold(program.name), italic("COMMAND"), italic("OPTIONS"));
    text += ".SH DESCRIPTION\n" + roff_text(program.help);
    text += ".SH OPTIONS\n" + option_list(program);
    text += ".SH COMMANDS\n";
    for (const CommandWords& command : program.commands) text += command_section(program, command);
    if (!program.footer.empty()) text += ".SH NOTES\n" + roff_paragraphs(program.footer).substr(4);
    return text + ".SH SEE ALSO\n" + std::string(frame.see_also) + "\n";
}

}  // namespace ampturn::program_help
