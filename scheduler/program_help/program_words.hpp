#pragma once

#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace ampturn::program_help {

/// What a command line says of itself, read out of it: the one source of manual pages and completions.

struct OptionWords {
    std::vector<std::string> names;  // "-o", "--output"; of a positional none
    std::string value;               // what stands for its value, "PLAN"; empty for a flag
    std::string help;
    std::string range;                 // "1 - 1000000", where the command line itself knows one
    std::string default_text;          // empty when it has none to show
    std::vector<std::string> choices;  // all words it takes, where it takes only some
    std::vector<std::string> needs, excludes;
    bool required = false, repeated = false;

    bool is_flag() const { return value.empty(); }
    /// Whether its value names a file or a folder: its help or its value says so.
    bool names_path() const;
    bool is_number() const { return value == "FLOAT" || value == "INT" || value == "UINT"; }
};

struct CommandWords {
    std::string name, help, footer;
    std::vector<OptionWords> options, positionals;
    std::vector<CommandWords> commands;
    bool command_required = false;

    /// All names of all options.
    std::vector<std::string> option_names() const;
};

/// The program, or one of its commands with everything below it, in the order of the command line.
CommandWords words_of(const CLI::App& app);

}  // namespace ampturn::program_help
