#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/report/compare.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

struct CompareArguments {
    std::string path_a, path_b, out;
    std::uint64_t seed = 1;
    bool json = false;
};

void run_compare(const CompareArguments& arguments) {
    const day::DayOptions options{.seed = arguments.seed, .threads = base::thread_count(0)};
    if (arguments.path_a == base::standard_input_path && arguments.path_b == base::standard_input_path)
        throw base::InputError({"PLAN_B", {}, "", "standard input again", "a file: it can be read once"});
    const plan::Plan a = PlanArgument{.path = arguments.path_a, .settings = {}}.load(),
                     b = PlanArgument{.path = arguments.path_b, .settings = {}}.load();
    const report::Comparison comparison =
        report::compare_days(day::simulate_day(a, options), day::simulate_day(b, options));
    if (!arguments.out.empty()) {
        base::make_output_directory(arguments.out);
        base::write_output_file(arguments.out + "/compare.json", report::compare_json_text(comparison));
        base::write_output_file(arguments.out + "/compare.html", report::compare_html(comparison));
    }
    fmt::print("{}", arguments.json ? report::compare_json_text(comparison)
                                    : report::compare_text(comparison, colour_wanted(stdout)));
}

}  // namespace

void add_compare(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<CompareArguments>();
    CLI::App* command = app.add_subcommand("compare", "Runs the days of two plans and shows what changes");
    command->add_option("PLAN_A", arguments->path_a, "Plan file")->required();
    command->add_option("PLAN_B", arguments->path_b, "Plan file")->required();
    command->add_option("--out", arguments->out,
                        "Folder for compare.json and compare.html (made if missing)");
    command->add_flag("--json", arguments->json, "Print JSON instead of text");
    command->add_option("--seed", arguments->seed, "Seed of measurement noise")->capture_default_str();
    command->footer(
        "Stations are paired by name, frequencies to a thousandth.\n\n"
        "Example:\n  ampturn tune demo/vesslarook.toml --new-plan tuned.toml\n"
        "  ampturn compare demo/vesslarook.toml tuned.toml");
    command->callback([arguments] { run_compare(*arguments); });
}

}  // namespace ampturn::cli
