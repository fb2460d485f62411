#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/cli/day_files.hpp"
#include "scheduler/sheet/field_sheet.hpp"
#include "scheduler/survey_days/survey_output.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

constexpr int most_draws = 100'000;

struct DaysArguments {
    PlanArgument plan;
    std::string out;
    std::uint64_t seed = 1;
    int draws = 0;
    unsigned threads = 0;  // 0: as many as the machine has
    bool summary = false, strict = false, receivers = false;
};

/// A day's usual files, and what its crew takes along.
void write_day(const DaysArguments& arguments, const plan::Plan& day_plan, const day::DayResult& day) {
    const std::string folder = arguments.out + "/" + day.date;
    write_day_files(folder, day);
    base::write_output_file(folder + "/field_sheet.html", sheet::field_sheet_html(day_plan, day));
    base::write_output_file(folder + "/day.ics", sheet::calendar_text(day_plan, day));
    if (arguments.receivers) write_receiver_files(folder, day_plan, day);
}

std::optional<survey_days::Chances> drawn(const DaysArguments& arguments, const plan::Plan& plan,
                                          unsigned threads) {
    if (arguments.draws == 0) return std::nullopt;
    Progress progress("draws", static_cast<std::size_t>(arguments.draws));
    return survey_days::chances(
        plan, {.draws = arguments.draws, .seed = arguments.seed, .threads = threads, .drawn = [&] {
                   progress.advance();
               }});
}

void run_days(const DaysArguments& arguments, ExitCode& result) {
    const unsigned threads = base::thread_count(arguments.threads);
    const plan::Plan plan = arguments.plan.load();
    if (plan.survey_days.empty())
        throw plan.error("survey_day", "nothing",
                         "[[survey_day]] tables, a day each; for one day: `ampturn day`");
    if (!arguments.out.empty()) base::make_output_directory(arguments.out);
    survey_days::SurveyOptions options{.seed = arguments.seed, .threads = threads};
    Progress progress("days", plan.survey_days.size());
    options.take = [&](int, const plan::Plan& day_plan, day::DayResult&& day) {
        progress.advance();
        if (!arguments.out.empty()) write_day(arguments, day_plan, day);
    };
    const survey_days::Survey survey = survey_days::survey(plan, options);
    const std::optional<survey_days::Chances> chances = drawn(arguments, plan, threads);
    const survey_days::SurveyOutput output{
        .plan = plan, .survey = survey, .chances = chances ? &*chances : nullptr};
    if (!arguments.out.empty())
        for (const base::NamedText& file : survey_days::survey_files(output))
            base::write_output_file(arguments.out + "/" + file.name, file.text);
    fmt::print("{}", survey_days::survey_text(output, arguments.summary));
    if (!arguments.out.empty()) fmt::print("calendar: {}/days.html\n", arguments.out);
    if (arguments.strict && !survey.open.empty()) result = ExitCode::plan_fails;
}

}  // namespace

void add_days(CLI::App& app, ExitCode& result) {
    auto arguments = std::make_shared<DaysArguments>();
    CLI::App* command = app.add_subcommand(
        "days", "Runs the survey days of a plan one after the other, batteries charged in between");
    add_plan_argument(*command, arguments->plan);
    command->add_option(
        "--out", arguments->out,
        "Folder for days.html, days.json, CSV tables and a folder for each day (made if missing)");
    command->add_flag("--summary", arguments->summary, "Print what matters first instead of everything");
    command->add_flag("--receivers", arguments->receivers,
                      "Each day's receiver pages and schedules too, as `ampturn sheet --receivers`");
    command->add_flag("--strict", arguments->strict, "Exit with 1 when stations are open after the last day");
    command
        ->add_option(
            "--draws", arguments->draws,
            "Live the whole survey so often, what is not known exactly drawn anew, for chances and spreads")
        ->check(CLI::Range(1, most_draws));
    command->add_option("--seed", arguments->seed, "Seed of draws and of measurement noise")
        ->capture_default_str();
    command->add_option("--threads", arguments->threads, "Threads (results do not depend on it; 0: all)")
        ->capture_default_str();
    command->footer(
        "A day without stations of its own takes what is still open, as far as its time and its batteries go;\n"
        "what is not sent whole goes to the next day. Batteries are charged in the nights as [charging] says.\n\n"
        "Examples:\n  ampturn days demo/three_days.toml\n"
        "  ampturn days demo/three_days.toml --out out --draws 100 --seed 7 --summary");
    command->callback([arguments, &result] { run_days(*arguments, result); });
}

}  // namespace ampturn::cli
