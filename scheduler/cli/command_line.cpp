#include "scheduler/cli/command_line.hpp"

#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <cstdio>
#include <string>

#include "scheduler/base/number_arguments.hpp"
#include "scheduler/base/run_program.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/cli/former_names.hpp"
#include "scheduler/program_help/misread_words.hpp"

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
    add_edit(*app, result);
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

namespace {

void say(const std::string& line) {
    const bool colour = colour_wanted(stderr);
    std::fputs(
        fmt::format("{}ampturn:{} {}\n", colour ? "\x1b[31m" : "", colour ? "\x1b[0m" : "", line).c_str(),
        stderr);
}

ExitCode parse_and_run(int argc, char** argv) {
    ExitCode result = ExitCode::fine;
    const auto app = make_command_line(result);
    try {
        app->parse(argc, argv);
    } catch (const CLI::Success& done) {  // --help, --version
        app->exit(done);
    } catch (const CLI::ParseError& error) {
        const std::string former = former_names_used(argc, argv);
        say(former.empty() ? program_help::misread_text(*app, argc, argv, error.what())
                           : former + "see `ampturn --help`");
        return ExitCode::bad_input;
    }
    return result;
}

}  // namespace

int run(int argc, char** argv) {
    return base::run_program(
        "ampturn", [&] { return static_cast<int>(parse_and_run(argc, argv)); }, say);
}

}  // namespace ampturn::cli
