#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/report/battery_percentiles_output.hpp"
#include "scheduler/report/draw_rows.hpp"
#include "scheduler/report/monte_carlo_text.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/tune/day_inputs.hpp"

namespace ampturn::cli {

namespace {

constexpr std::size_t part_bytes_max = 8'000'000'000;

struct MergeArguments {
    std::vector<std::string> parts;
    std::string out;
    int runs = 0;
};

void run(const MergeArguments& arguments) {
    std::vector<report::DrawsPart> parts;
    for (const std::string& file : arguments.parts)
        parts.push_back(report::read_draws(
            base::read_input_file(file, "a part that `day --draws` has written", part_bytes_max), file));
    const tune::DayInputs inputs = parts.front().head.inputs;
    std::vector<day::DayDraw> draws = report::merged_draws(std::move(parts), arguments.parts, arguments.runs);
    const plan::Plan plan = tune::plan_of(inputs);
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const day::DayResult day = day::simulate_day(plan, setup, {.seed = inputs.seed, .threads = 1});
    const day::MonteCarloSummary runs = day::summary_of(plan, setup, std::move(draws), inputs.seed);
    if (!arguments.out.empty()) {
        base::make_output_directory(arguments.out);
        base::write_output_file(arguments.out + "/monte_carlo.json",
                                report::monte_carlo_json_text(runs, day));
        base::write_output_file(arguments.out + "/battery_percentiles.csv",
                                report::battery_percentiles_csv(runs.battery));
    }
    fmt::print("{}", report::monte_carlo_text(runs, day));
}

}  // namespace

void add_merge(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<MergeArguments>();
    CLI::App* command = app.add_subcommand(
        "merge", "Puts runs of a day that were drawn in parts together, as if drawn in one");
    command->add_option("PART", arguments->parts, "Files that `ampturn day --draws` has written")->required();
    command->add_option("--runs", arguments->runs, "How many runs there must be; default: those of the parts")
        ->check(CLI::Range(1, 1'000'000));
    command->add_option(
        "--out", arguments->out,
        "Folder for monte_carlo.json and battery_percentiles.csv, as `day --runs --out` writes them");
    command->footer(
        "A part that ended early, and runs that no part holds, are named.\n\n"
        "Examples:\n  ampturn day demo/quick.toml --draws 0:50 --rows a.jsonl\n"
        "  ampturn day demo/quick.toml --draws 50:50 --rows b.jsonl\n"
        "  ampturn merge a.jsonl b.jsonl --runs 100");
    command->callback([arguments] { run(*arguments); });
}

}  // namespace ampturn::cli
