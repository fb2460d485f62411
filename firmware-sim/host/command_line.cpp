#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <cstdio>

#include "firmware-sim/host/commands.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/number_arguments.hpp"
#include "scheduler/base/run_program.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/program_help/misread_words.hpp"

namespace ampturn::sim::host {
namespace {

void say(const std::string& line) { std::fputs(fmt::format("ampturn-sim: {}\n", line).c_str(), stderr); }

}  // namespace

void refuse_options_before(const CLI::App& app, const CLI::App& command) {
    for (const CLI::Option* option : app.get_options())
        if (option->count() > 0)
            throw base::InputError({.file = option->get_name(),
                                    .position = {},
                                    .key = {},
                                    .found = "before \"" + command.get_name() + "\"",
                                    .allowed = "options of a command behind its name"});
}

std::unique_ptr<CLI::App> make_command_line(int& result) {
    auto app = std::make_unique<CLI::App>(
        "A simulated loop transmitter: an instrument on the network, and a trainer.\n"
        "It drives nothing real; what it teaches is for use under local rules and licensed practice.",
        "ampturn-sim");
    app->set_version_flag("--version", fmt::format("ampturn-sim {} ({})", base::version(), base::git_hash()));
    app->require_subcommand(0, 1);
    app->footer(
        "Examples:\n"
        "  ampturn-sim                                  command language on 127.0.0.1:5025, panel on :8025\n"
        "  ampturn-sim --plan demo/quick.toml --speed 60\n"
        "  ampturn-sim drill demo/drills/first_start.toml\n"
        "  ampturn-sim course demo/drills\n"
        "  ampturn-sim replay session.jsonl\n"
        "  ampturn-sim logsheet session.jsonl --output sheet\n"
        "  ampturn-sim debrief session.jsonl");
    add_serve(*app, result);
    add_drill(*app, result);
    add_course(*app, result);
    add_replay(*app, result);
    add_logsheet(*app, result);
    add_debrief(*app, result);
    base::check_number_arguments(*app);
    return app;
}

int run_command_line(int argc, char** argv) {
    const auto parse_and_run = [&] {
        int result = 0;
        const auto app = make_command_line(result);
        try {
            app->parse(argc, argv);
        } catch (const CLI::Success& done) {  // --help, --version
            return app->exit(done);
        } catch (const CLI::ParseError& error) {
            say(program_help::misread_text(*app, argc, argv, error.what()));
            return base::exit_bad_input;
        }
        return result;
    };
    return base::run_program("ampturn-sim", parse_and_run, say);
}

}  // namespace ampturn::sim::host
