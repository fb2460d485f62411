#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <cstdio>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/base/part_range.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/cli/day_files.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/order/ordered_day.hpp"
#include "scheduler/report/day_json.hpp"
#include "scheduler/report/day_text.hpp"
#include "scheduler/report/draw_rows.hpp"
#include "scheduler/report/monte_carlo_text.hpp"
#include "scheduler/survey_days/day_plan.hpp"
#include "scheduler/tune/day_inputs.hpp"
#include "scheduler/tune/make_it_go.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

constexpr int most_runs = 1'000'000;

struct DayArguments {
    PlanArgument plan;
    std::string date, start, out, order = "planned";
    std::optional<double> temperature_c;
    std::optional<int> batteries;
    std::uint64_t seed = 1;
    int runs = 0;
    std::string draws, rows;
    unsigned threads = 0;  // 0: as many as the machine has
    bool json = false, summary = false, strict = false, make_it_go = false;
    std::vector<std::string> without;
};

tune::DayInputs inputs_of(const DayArguments& arguments) {
    return {.plan_path = arguments.plan.path,
            .plan_text = arguments.plan.text(),
            .settings = arguments.plan.settings,
            .start = arguments.start,
            .temperature_c = arguments.temperature_c,
            .batteries = arguments.batteries,
            .without = arguments.without,
            .seed = arguments.seed};
}

/// The plan with its what-ifs, of the survey day asked for where it has several.
plan::Plan plan_of(const DayArguments& arguments) {
    const tune::DayInputs inputs = inputs_of(arguments);
    plan::Plan plan = tune::given_plan_of(inputs);
    if (!plan.survey_days.empty() || !arguments.date.empty())
        plan = survey_days::plan_of_date(plan, arguments.date);
    return tune::without_stations(day::apply(std::move(plan), tune::overrides_of(inputs)), arguments.without);
}

/// As it can be given to a shell again.
std::string shell_word(const std::string& word) {
    if (word.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-./=:,") ==
        std::string::npos)
        return word;
    std::string out = "'";
    for (const char c : word) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

void make_it_go(const DayArguments& arguments, unsigned threads, ExitCode& result) {
    const tune::DayInputs inputs = inputs_of(arguments);
    const plan::Plan plan = tune::without_stations(tune::given_plan_of(inputs), arguments.without);
    const tune::MadeToGo made =
        tune::make_day_go(plan, tune::overrides_of(inputs), {.seed = arguments.seed, .threads = threads});
    std::string plan_words = shell_word(arguments.plan.path), day_words;
    for (const std::string& setting : arguments.plan.settings) plan_words += " --set " + shell_word(setting);
    if (!arguments.start.empty() && !made.change.start_s) day_words += " --start " + arguments.start;
    if (arguments.temperature_c) day_words += fmt::format(" --temperature {}", *arguments.temperature_c);
    if (arguments.batteries && !made.change.batteries)
        day_words += fmt::format(" --batteries {}", *arguments.batteries);
    for (const std::string& name : arguments.without) day_words += " --without " + shell_word(name);
    fmt::print("{}", tune::made_to_go_text(made, plan_words, day_words, "tuned.toml"));
    if (arguments.strict && !made.goes) result = ExitCode::plan_fails;
}

/// Some of many runs into a file, for `merge`.
void draw(const DayArguments& arguments, unsigned threads) {
    const report::DrawsHead head{.inputs = inputs_of(arguments),
                                 .range = base::parse_part_range(
                                     arguments.draws, "--draws", most_runs,
                                     fmt::format("FIRST:COUNT, runs counted from 0, {} in all", most_runs))};
    const plan::Plan plan = tune::plan_of(head.inputs);
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    base::OutputFile out(arguments.rows);
    out.write(draws_head_line(head));
    Progress progress("Monte Carlo runs", static_cast<std::size_t>(head.range.count));
    day::draw_days(plan, setup,
                   {.first = head.range.first,
                    .runs = head.range.count,
                    .seed = arguments.seed,
                    .threads = threads,
                    .progress = [&](int) { progress.advance(); }},
                   [&](int run, day::DayDraw&& drawn) { out.write(report::draw_line(run, drawn)); });
    out.commit();
}

void run_day(const DayArguments& arguments, ExitCode& result) {
    const unsigned threads = base::thread_count(arguments.threads);
    if (arguments.make_it_go || !arguments.draws.empty()) {
        const plan::Plan plan = tune::given_plan_of(inputs_of(arguments));
        if (!plan.survey_days.empty())
            throw plan.error("survey_day", fmt::format("{} of them", plan.survey_days.size()),
                             "a plan of one day with --make-it-go or --draws; for all days: `ampturn days`");
    }
    if (arguments.make_it_go) return make_it_go(arguments, threads, result);
    if (!arguments.draws.empty()) return draw(arguments, threads);
    plan::Plan plan = plan_of(arguments);
    const day::DayOptions options{.seed = arguments.seed, .threads = threads};
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    day::DayResult day;
    if (arguments.order == "improved") {
        order::OrderedDay ordered = order::simulate_day_in_improved_order(plan, setup, options);
        plan = std::move(ordered.plan);
        day = std::move(ordered.day);
    } else {
        day = day::simulate_day(plan, setup, options);
    }

    std::optional<day::MonteCarloSummary> runs;
    if (arguments.runs > 0) {
        Progress progress("Monte Carlo runs", static_cast<std::size_t>(arguments.runs));
        runs = day::run_monte_carlo(
            plan, setup,
            {.runs = arguments.runs, .seed = arguments.seed, .threads = threads, .progress = [&](int) {
                 progress.advance();
             }});
    }
    if (!arguments.out.empty()) write_day_files(arguments.out, day, runs ? &*runs : nullptr);

    if (arguments.json) {
        fmt::print("{}", report::day_json_text(day));
    } else if (arguments.summary) {
        fmt::print("{}", report::day_summary(day));
    } else {
        fmt::print("{}", report::day_text(day, {.colour = colour_wanted(stdout)}));
    }
    if (runs && !arguments.json) fmt::print("\n{}", report::monte_carlo_text(*runs, day));
    if (!arguments.out.empty() && !arguments.json) fmt::print("report: {}/report.html\n", arguments.out);
    if (arguments.strict && (!day.completed || day.passed_count < day.required_count))
        result = ExitCode::plan_fails;
}

}  // namespace

void add_day(CLI::App& app, ExitCode& result) {
    auto arguments = std::make_shared<DayArguments>();
    CLI::App* command =
        app.add_subcommand("day", "Runs a plan's day on the simulated unit and judges what it yields");
    add_plan_argument(*command, arguments->plan);
    command->add_option("--out", arguments->out,
                        "Folder for day.json, CSV tables and report.html (made if missing)");
    command->add_flag("--json", arguments->json, "Print day.json instead of text");
    command->add_flag("--summary", arguments->summary, "Print ten lines instead of everything");
    command->add_flag("--strict", arguments->strict,
                      "Exit with 1 when a sweep is not sent or a target is not met");
    command->add_option(
        "--date", arguments->date,
        "YYYY-MM-DD: which survey day, of a plan that has several (one with its own stations)");
    command->add_option("--start", arguments->start, "What if: crews leave the base at hh:mm");
    command->add_option("--temperature", arguments->temperature_c, "What if: air temperature in C, all day");
    command->add_option("--batteries", arguments->batteries, "What if: battery sets carried");
    command->add_option("--without", arguments->without, "What if: this station left out (may be repeated)")
        ->expected(1)
        ->take_all();
    command->add_flag("--make-it-go", arguments->make_it_go,
                      "Search the cheapest changes that make the day go, try them, print their commands");
    command
        ->add_option(
            "--order", arguments->order,
            "Order of the stations: as planned, or improved to shorten the crews' ways; with several receiver "
            "crews, which of them sets up what, and what listens together, as well")
        ->check(CLI::IsMember({"planned", "improved"}))
        ->capture_default_str();
    command
        ->add_option("--runs", arguments->runs,
                     "Monte Carlo runs: repeat the day so often, what is not known exactly drawn anew")
        ->check(CLI::Range(1, most_runs));
    CLI::Option* draws = command->add_option(
        "--draws", arguments->draws,
        "FIRST:COUNT: only these of many runs, counted from 0, a row each into --rows; see `ampturn merge`");
    draws->needs(command->add_option("--rows", arguments->rows, "File for the rows of --draws"));
    for (const char* other : {"--date", "--runs", "--make-it-go", "--order", "--out", "--json", "--summary"})
        draws->excludes(command->get_option(other));
    command->add_option("--seed", arguments->seed, "Seed of Monte Carlo runs and of measurement noise")
        ->capture_default_str();
    command->add_option("--threads", arguments->threads, "Threads (results do not depend on it; 0: all)")
        ->capture_default_str();
    for (const char* other : {"--date", "--without", "--order", "--runs", "--out", "--json", "--summary"})
        command->get_option("--make-it-go")->excludes(command->get_option(other));
    command->footer(
        "The sweep table runs on the unit's own sequencer against batteries, "
        "loops and heat in virtual time;\n"
        "each station and frequency is then judged by its error bar and by its bias against a plane "
        "wave.\n\n"
        "Examples:\n  ampturn day demo/quick.toml\n"
        "  ampturn day demo/vesslarook.toml --out out --strict\n"
        "  ampturn day demo/vesslarook.toml --start 09:30 --temperature -8 --batteries 2\n"
        "  ampturn day demo/vesslarook.toml --order improved --summary\n"
        "  ampturn day demo/vesslarook.toml --make-it-go\n"
        "  ampturn day demo/vesslarook.toml --runs 200 --seed 7 --summary");
    command->callback([arguments, &result] { run_day(*arguments, result); });
}

}  // namespace ampturn::cli
