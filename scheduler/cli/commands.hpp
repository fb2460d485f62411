#pragma once

#include "scheduler/cli/arguments/exit_code.hpp"

namespace CLI {
class App;
}

namespace ampturn::cli {

/// Each command adds itself: a subcommand with its options, an example in its help (`footer`), and a callback
/// that does the work, throws InputError for a person's mistakes, and sets `result` when it is not fine. One
/// file a command, command_NAME.cpp; a new one adds a line here and a line in command_line.cpp.

void add_new(CLI::App& app, arguments::ExitCode& result);
void add_check(CLI::App& app, arguments::ExitCode& result);
void add_edit(CLI::App& app, arguments::ExitCode& result);
void add_explain(CLI::App& app, arguments::ExitCode& result);
void add_transmitter(CLI::App& app, arguments::ExitCode& result);
void add_weigh(CLI::App& app, arguments::ExitCode& result);
void add_frequencies(CLI::App& app, arguments::ExitCode& result);
void add_reach(CLI::App& app, arguments::ExitCode& result);
void add_tune(CLI::App& app, arguments::ExitCode& result);
void add_compare(CLI::App& app, arguments::ExitCode& result);
void add_sheet(CLI::App& app, arguments::ExitCode& result);
void add_day(CLI::App& app, arguments::ExitCode& result);
void add_days(CLI::App& app, arguments::ExitCode& result);
void add_merge(CLI::App& app, arguments::ExitCode& result);
void add_fields(CLI::App& app, arguments::ExitCode& result);
void add_curve(CLI::App& app, arguments::ExitCode& result);
void add_table(CLI::App& app, arguments::ExitCode& result);
void add_trace(CLI::App& app, arguments::ExitCode& result);
void add_rehearse(CLI::App& app, arguments::ExitCode& result);

}  // namespace ampturn::cli
