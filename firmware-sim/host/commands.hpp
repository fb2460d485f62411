#pragma once

#include <memory>

namespace CLI {
class App;
}

namespace ampturn::sim::host {

/// Each command of ampturn-sim adds itself. `result` is what the process returns: 0 fine, 1 a check missed
/// (replay differs), 2 bad input, 3 a mistake in the program.
void add_serve(CLI::App& app, int& result);  // also the default when no command is named
void add_drill(CLI::App& app, int& result);
void add_course(CLI::App& app, int& result);
void add_replay(CLI::App& app, int& result);
void add_logsheet(CLI::App& app, int& result);
void add_debrief(CLI::App& app, int& result);

/// Options before the name of a command belong to serving, which they would not reach: InputError.
void refuse_options_before(const CLI::App& app, const CLI::App& command);

/// The whole command line of `ampturn-sim`; `result` outlives it.
std::unique_ptr<CLI::App> make_command_line(int& result);

/// Parses, runs, says what went wrong in one line each on standard error.
int run_command_line(int argc, char** argv);

}  // namespace ampturn::sim::host
