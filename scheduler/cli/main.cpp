#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <cerrno>
#include <cstddef>
#include <cstdio>
#include <cstring>
#include <exception>
#include <new>
#include <string>
#include <system_error>

#include "scheduler/base/end_at_once.hpp"
#include "scheduler/base/input_error.hpp"
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

void say_all(const ampturn::base::InputError& error) {
    constexpr std::size_t lines_max = 40;
    const auto& problems = error.problems();
    for (std::size_t i = 0; i < std::min(problems.size(), lines_max); ++i) say(text_of(problems[i]));
    if (problems.size() > lines_max)
        say(fmt::format("and {} more of this kind", problems.size() - lines_max));
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

ExitCode standard_output_failed() {
    say(
        fmt::format("standard output: found nothing that can be written ({}), "
                    "allowed a place that can be written, with space left",
                    errno != 0 ? std::strerror(errno) : "writing failed"));
    return ExitCode::bad_input;
}

}  // namespace

int main(int argc, char** argv) {
    ampturn::base::end_at_once_without_memory("ampturn", static_cast<int>(ExitCode::internal_error));
    ExitCode result = ExitCode::internal_error;
    try {
        result = parse_and_run(argc, argv);
        if (std::fflush(stdout) != 0 || std::ferror(stdout) != 0) result = standard_output_failed();
    } catch (const ampturn::base::InputError& error) {
        say_all(error);
        result = ExitCode::bad_input;
    } catch (const std::bad_alloc&) {
        ampturn::base::say_no_memory("ampturn");  // in colour it would take some
    } catch (const std::exception& error) {
        if (std::ferror(stdout) != 0)  // fmt::print throws std::system_error when a full buffer does not fit
            result = standard_output_failed();
        else
            say(fmt::format("internal error: {}", error.what()));
    }
    return static_cast<int>(result);
}
