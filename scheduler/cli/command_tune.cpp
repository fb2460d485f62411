#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <memory>
#include <string>
#include <thread>

#include "scheduler/cli/commands.hpp"
#include "scheduler/cli/plan_argument.hpp"
#include "scheduler/cli/terminal.hpp"
#include "scheduler/plan/config.hpp"
#include "scheduler/plan/day.hpp"
#include "scheduler/plan/output_file.hpp"
#include "scheduler/plan/tune.hpp"
#include "scheduler/plan/tune_output.hpp"

namespace ampturn::cli {
namespace {

struct TuneArguments {
    PlanArgument plan;
    std::string new_plan, out, minimise = "energy";
    plan::TuneOptions options;
    unsigned threads = 0;
    bool json = false, quick = false;
};

void run(TuneArguments arguments) {
    const plan::Plan plan = arguments.plan.load();
    arguments.options.minimise = arguments.minimise == "time" ? plan::TuneFor::time : plan::TuneFor::energy;
    arguments.options.threads =
        arguments.threads > 0 ? arguments.threads : std::max(1u, std::thread::hardware_concurrency());
    const plan::Tuned tuned = plan::tune(plan, arguments.options);
    std::optional<plan::TunedDays> days;
    if (!arguments.quick)
        days = plan::TunedDays{plan::simulate_day(plan, {.threads = arguments.options.threads}),
                               plan::simulate_day(tuned.plan, {.threads = arguments.options.threads})};
    if (!arguments.out.empty()) {
        plan::make_output_directory(arguments.out);
        plan::write_output_file(arguments.out + "/tune.json", plan::tune_json_text(tuned, days));
        plan::write_output_file(arguments.out + "/tune.csv", plan::tune_csv(tuned));
        plan::write_output_file(arguments.out + "/tune.html", plan::tune_html(tuned, days));
    }
    if (!arguments.new_plan.empty())
        plan::write_output_file(arguments.new_plan, plan::write_plan(tuned.plan));
    fmt::print("{}", arguments.json ? plan::tune_json_text(tuned, days)
                                    : plan::tune_text(tuned, days, colour_wanted(stdout)));
    if (!arguments.json) {
        if (!arguments.new_plan.empty()) fmt::print("new plan: {}\n", arguments.new_plan);
        if (!arguments.out.empty()) fmt::print("page: {}/tune.html\n", arguments.out);
    }
}

}  // namespace

void add_tune(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<TuneArguments>();
    CLI::App* command = app.add_subcommand(
        "tune", "Sets each dwell to what the stations need, within budgets of time and energy");
    add_plan_argument(*command, arguments->plan);
    command->add_option("--new-plan", arguments->new_plan, "Write the plan with its new dwells to this file");
    command->add_option("--out", arguments->out,
                        "Folder for tune.json, tune.csv and tune.html (made if missing)");
    command->add_option("--minimise", arguments->minimise, "energy or time: what is made small")
        ->check(CLI::IsMember({"energy", "time"}))
        ->capture_default_str();
    command
        ->add_option("--margin", arguments->options.margin_fraction,
                     "Plan error bars this much smaller than their targets")
        ->capture_default_str();
    command->add_flag("--biased-too", arguments->options.biased_too,
                      "Also serve readings that no dwell can make plane");
    command->add_flag("--quick", arguments->quick, "Do not run the day before and after");
    command->add_flag("--json", arguments->json, "Print tune.json instead of text");
    command->add_option("--threads", arguments->threads, "Threads (results do not depend on it; 0: all)")
        ->capture_default_str();
    command->footer(
        "Budgets come from the plan: sweep.time_budget_s, sweep.energy_budget_wh (also with --set). When "
        "they\n"
        "do not reach, all error targets are relaxed by the smallest common factor that fits.\n\n"
        "Examples:\n  ampturn tune demo/quick.toml\n"
        "  ampturn tune demo/vesslarook.toml --set sweep.time_budget_s=300 --new-plan tuned.toml");
    command->callback([arguments] { run(*arguments); });
}

}  // namespace ampturn::cli
