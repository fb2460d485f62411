#pragma once

#include <memory>

#include "scheduler/cli/arguments/exit_code.hpp"

namespace CLI {
class App;
}

namespace ampturn::cli {

/// The whole command line of `ampturn`; `result` outlives it.
std::unique_ptr<CLI::App> make_command_line(arguments::ExitCode& result);

/// The program: its exit code, with what it has to say written to standard output and standard error.
int run(int argc, char** argv);

}  // namespace ampturn::cli
