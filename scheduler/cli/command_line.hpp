#pragma once

#include <memory>

#include "scheduler/cli/exit_code.hpp"

namespace CLI {
class App;
}

namespace ampturn::cli {

/// The whole command line of `ampturn`; `result` outlives it.
std::unique_ptr<CLI::App> make_command_line(ExitCode& result);

}  // namespace ampturn::cli
