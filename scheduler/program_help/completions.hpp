#pragma once

#include <string>

#include "scheduler/program_help/program_words.hpp"

namespace ampturn::program_help {

/// Scripts that complete a program's commands, options and the words its options take; file names where a path is meant,
/// nothing where a person has to think of the value. Made for a program of one level of commands.
std::string bash_completion(const CommandWords& program);
std::string zsh_completion(const CommandWords& program);
std::string fish_completion(const CommandWords& program);

/// The name of the program as a name of a shell's function: "ampturn-sim" gives "_ampturn_sim".
std::string function_name(const CommandWords& program);

}  // namespace ampturn::program_help
