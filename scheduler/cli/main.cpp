#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <cstdio>
#include <string>

#include "scheduler/base/run_program.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/command_line.hpp"
#include "scheduler/cli/former_names.hpp"
#include "scheduler/program_help/misread_words.hpp"

namespace {

using ampturn::cli::arguments::ExitCode;

void say(const std::string& line) {
    const bool colour = ampturn::cli::arguments::colour_wanted(stderr);
    std::fputs(
        fmt::format("{}ampturn:{} {}\n", colour ? "\x1b[31m" : "", colour ? "\x1b[0m" : "", line).c_str(),
        stderr);
}

ExitCode parse_and_run(int argc, char** argv) {
    ExitCode result = ExitCode::fine;
    const auto app = ampturn::cli::make_command_line(result);
    try {
        app->parse(argc, argv);
    } catch (const CLI::Success& done) {  // --help, --version
        app->exit(done);
    } catch (const CLI::ParseError& error) {
        const std::string former = ampturn::cli::former_names_used(argc, argv);
        say(former.empty() ? ampturn::program_help::misread_text(*app, argc, argv, error.what())
                           : former + "see `ampturn --help`");
        return ExitCode::bad_input;
    }
    return result;
}

}  // namespace

int main(int argc, char** argv) {
    return ampturn::base::run_program(
        "ampturn", [&] { return static_cast<int>(parse_and_run(argc, argv)); }, say);
}
