#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>

#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/staged_folder.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/rehearse/coverage.hpp"
#include "scheduler/rehearse/coverage_output.hpp"
#include "scheduler/rehearse/rehearsal_json.hpp"
#include "scheduler/rehearse/rehearsal_page.hpp"
#include "scheduler/rehearse/rehearse.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

struct RehearseArguments {
    PlanArgument plan;
    std::string out, keep;
    std::vector<std::string> stations;
    std::optional<int> batteries;
    std::uint64_t seed = 1;
    int runs = 1000;
    std::optional<int> days;  // a coverage study of so many, instead of a rehearsal
    unsigned threads = 0;     // 0: as many as the machine has
    bool json = false, vertical = false;
};

void study_coverage(const RehearseArguments& arguments, const plan::Plan& plan,
                    const setup::SurveySetup& setup, const day::DayResult& day) {
    rehearse::CoverageResult result;
    {
        Progress progress("days of noise", static_cast<std::size_t>(*arguments.days));
        result = rehearse::coverage_study(plan, setup, day,
                                          {.seed = arguments.seed,
                                           .days = *arguments.days,
                                           .threads = base::thread_count(arguments.threads),
                                           .stations = arguments.stations,
                                           .day_done = [&] { progress.advance(); }});
    }
    if (!arguments.out.empty()) {
        base::write_output_file(arguments.out + "/coverage.json", rehearse::coverage_json_text(result));
        base::write_output_file(arguments.out + "/coverage.csv", rehearse::coverage_csv(result));
        base::write_output_file(arguments.out + "/coverage.html", rehearse::coverage_html(result));
    }
    fmt::print("{}", arguments.json ? rehearse::coverage_json_text(result) : rehearse::coverage_text(result));
    if (!arguments.out.empty() && !arguments.json) fmt::print("page: {}/coverage.html\n", arguments.out);
}

void run_rehearse(const RehearseArguments& arguments) {
    const plan::Plan plan = day::apply(
        arguments.plan.load(), {.start_s = {}, .temperature_c = {}, .batteries = arguments.batteries});
    const unsigned threads = base::thread_count(arguments.threads);
    const std::size_t stations = rehearse::station_indices(plan, arguments.stations).size();
    if (!arguments.out.empty()) base::make_output_directory(arguments.out);
    if (arguments.days) {
        const setup::SurveySetup setup = setup::survey_setup_of(plan);
        study_coverage(arguments, plan, setup,
                       day::simulate_day(plan, setup, {.seed = arguments.seed, .threads = threads}));
        return;
    }
    std::optional<StagedFolder> keep;
    if (!arguments.keep.empty()) keep.emplace(arguments.keep);
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const day::DayResult day = day::simulate_day(plan, setup, {.seed = arguments.seed, .threads = threads});
    rehearse::station::RehearsalResult result;
    {
        Progress progress("stations rehearsed", stations);
        result =
            rehearse::rehearse(plan, setup, day,
                               {.seed = arguments.seed,
                                .threads = threads,
                                .stations = arguments.stations,
                                .keep_directory = keep ? std::optional(keep->staging_path()) : std::nullopt,
                                .with_vertical = arguments.vertical,
                                .question_runs = arguments.runs,
                                .station_done = [&] { progress.advance(); }});
    }
    if (keep) keep->commit();
    if (!arguments.out.empty()) {
        base::write_output_file(arguments.out + "/rehearsal.json", rehearse::rehearsal_json_text(result));
        for (const base::NamedText& table : rehearse::rehearsal_tables(result))
            base::write_output_file(arguments.out + "/" + table.name, table.text);
        base::write_output_file(arguments.out + "/rehearsal.html", rehearse::rehearsal_html(result));
    }
    fmt::print("{}",
               arguments.json ? rehearse::rehearsal_json_text(result) : rehearse::rehearsal_text(result));
    if (!arguments.out.empty() && !arguments.json) fmt::print("page: {}/rehearsal.html\n", arguments.out);
}

}  // namespace

void add_rehearse(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<RehearseArguments>();
    CLI::App* command = app.add_subcommand(
        "rehearse", "Synthesises a plan's records, processes and inverts them, and answers its question");
    add_plan_argument(*command, arguments->plan);
    command->add_option("--out", arguments->out,
                        "Folder for rehearsal.json, CSV tables and rehearsal.html (made if missing)");
    CLI::Option* keep = command->add_option(
        "--keep", arguments->keep,
        "Folder for the time series: float32 with a JSON side-car, CSV for short ones; all of them or, interrupted, none");
    command->add_option("--station", arguments->stations, "Only this station (may be given several times)");
    CLI::Option* vertical = command->add_flag("--hz", arguments->vertical, "Record Hz too");
    command->add_flag("--json", arguments->json, "Print rehearsal.json instead of text");
    command->add_option("--batteries", arguments->batteries, "What if: battery sets carried");
    CLI::Option* runs =
        command
            ->add_option("--runs", arguments->runs,
                         "Monte Carlo runs for the question: data sets drawn from each ground")
            ->check(CLI::Range(1, 1'000'000))
            ->capture_default_str();
    command
        ->add_option(
            "--spectra", arguments->days,
            "How far error bars hold, over so many days of noise: lines drawn from their distribution instead "
            "of from samples; no sections, no question")
        ->check(CLI::Range(1, 100'000))
        ->excludes(keep)
        ->excludes(vertical)
        ->excludes(runs);
    command->add_option("--seed", arguments->seed, "Seed of all noise and runs")->capture_default_str();
    command->add_option("--threads", arguments->threads, "Threads (results do not depend on it; 0: all)")
        ->capture_default_str();
    command->footer(
        "The day is run first; what its sweeps sent is then recorded at each station, with natural field, "
        "mains,\n"
        "sensors, converter and clock error, and taken all the way to a section of the ground. "
        "All data are\n"
        "synthetic.\n\n"
        "Examples:\n  ampturn rehearse demo/quick.toml\n"
        "  ampturn rehearse demo/vesslarook.toml --batteries 3 --out out\n"
        "  ampturn rehearse demo/quick.toml --station far --keep series\n"
        "  ampturn rehearse demo/vesslarook.toml --spectra 100");
    command->callback([arguments] { run_rehearse(*arguments); });
}

}  // namespace ampturn::cli
