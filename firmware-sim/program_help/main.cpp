#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <cstdio>

#include "firmware-sim/host/commands.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/cli/command_line.hpp"
#include "scheduler/program_help/completions.hpp"
#include "scheduler/program_help/manual_page.hpp"

namespace {

namespace help = ampturn::program_help;

void write(const std::string& folder, const std::string& name, const std::string& text) {
    ampturn::base::make_output_directory(folder);
    ampturn::base::write_output_file(folder + "/" + name, text);
}

/// Names and folders as the shells look for them, below share/.
void write_program(const std::string& folder, const help::CommandWords& program,
                   const help::PageFrame& frame) {
    write(folder + "/man1", program.name + ".1", help::manual_page(program, frame));
    write(folder + "/bash", program.name, help::bash_completion(program));
    write(folder + "/zsh", "_" + program.name, help::zsh_completion(program));
    write(folder + "/fish", program.name + ".fish", help::fish_completion(program));
}

void write_all(const std::string& folder, const help::Edition& edition) {
    ampturn::cli::arguments::ExitCode planner_result{};
    int simulator_result = 0;
    write_program(folder, help::words_of(*ampturn::cli::make_command_line(planner_result)),
                  {.summary = "plan and simulate sweeps of a portable loop transmitter",
                   .see_also = ".BR ampturn\\-sim (1),\n.BR ampturn\\-plan (5)",
                   .edition = edition});
    write_program(folder, help::words_of(*ampturn::sim::host::make_command_line(simulator_result)),
                  {.summary = "simulated loop transmitter: network, panel, drills",
                   .see_also = ".BR ampturn (1),\n.BR ampturn\\-plan (5)",
                   .edition = edition});
    write(folder + "/man5", "ampturn-plan.5", help::plan_page(edition));
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        std::fputs("program_help_maker: wanted FOLDER DATE\n", stderr);
        return 2;
    }
    try {
        write_all(argv[1], {.date = argv[2], .version = std::string(ampturn::base::version())});
    } catch (const ampturn::base::InputError& error) {
        for (const auto& problem : error.problems()) std::fputs((text_of(problem) + "\n").c_str(), stderr);
        return 2;
    }
    return 0;
}
