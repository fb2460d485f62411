#include "scheduler/cli/command_line.hpp"

#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>

#include "scheduler/base/number_arguments.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/cli/commands.hpp"

namespace ampturn::cli {

using namespace arguments;

std::unique_ptr<CLI::App> make_command_line(ExitCode& result) {
    auto app = std::make_unique<CLI::App>(
        "Plans and simulates sweeps of a portable loop transmitter for "
        "audio-frequency electromagnetic soundings.",
        "ampturn");
    app->set_version_flag("--version", fmt::format("ampturn {} ({})", base::version(), base::git_hash()));
    app->require_subcommand(1);
    app->get_formatter()->column_width(34);
    app->footer(
        "Exit codes: 0 fine, 1 the plan fails its own targets (with --strict), 2 bad input or output, "
        "3 internal error.\n\n"
        "Example:\n  ampturn check demo/quick.toml");
    add_new(*app, result);
    add_check(*app, result);
    add_explain(*app, result);
    add_transmitter(*app, result);
    add_weigh(*app, result);
    add_frequencies(*app, result);
    add_reach(*app, result);
    add_tune(*app, result);
    add_compare(*app, result);
    add_sheet(*app, result);
    add_day(*app, result);
    add_days(*app, result);
    add_merge(*app, result);
    add_fields(*app, result);
    add_curve(*app, result);
    add_table(*app, result);
    add_trace(*app, result);
    add_rehearse(*app, result);
    base::check_number_arguments(*app);
    return app;
}

}  // namespace ampturn::cli
