#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>

#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/arguments/new_plan_file.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/rehearse/question/tune_question.hpp"
#include "scheduler/rehearse/question/tune_question_output.hpp"
#include "scheduler/tune/new_plan_text.hpp"
#include "scheduler/tune/tune.hpp"
#include "scheduler/tune/tune_output.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

struct TuneArguments {
    PlanArgument plan;
    std::string new_plan, out, minimise = "energy";
    tune::TuneOptions options;
    unsigned threads = 0;
    bool json = false, quick = false;
    bool for_question = false;
    rehearse::question::QuestionTuneOptions question;
};

/// What either way of tuning gives to write and to print.
struct Texts {
    std::string json, csv, html, text;
    const plan::Plan& plan;
};

void put_out(const TuneArguments& arguments, const Texts& texts) {
    if (!arguments.out.empty()) {
        base::make_output_directory(arguments.out);
        base::write_output_file(arguments.out + "/tune.json", texts.json);
        base::write_output_file(arguments.out + "/tune.csv", texts.csv);
        base::write_output_file(arguments.out + "/tune.html", texts.html);
    }
    bool comments_kept = true;
    if (!arguments.new_plan.empty()) {
        const tune::NewPlanText file =
            tune::new_plan_text(texts.plan, arguments.plan.text(), changed_tables(arguments.plan, {"sweep"}));
        comments_kept = file.comments_kept;
        base::write_output_file(arguments.new_plan, file.text);
    }
    fmt::print("{}", arguments.json ? texts.json : texts.text);
    if (!arguments.json) {
        if (!arguments.new_plan.empty())
            fmt::print("new plan: {}{}\n", arguments.new_plan,
                       comments_kept ? "" : ", without the comments of the old one");
        if (!arguments.out.empty()) fmt::print("page: {}/tune.html\n", arguments.out);
    }
}

void tune_for_targets(const TuneArguments& arguments, const plan::Plan& plan, unsigned threads) {
    tune::TuneOptions options = arguments.options;
    options.minimise = arguments.minimise == "time" ? tune::TuneFor::time : tune::TuneFor::energy;
    options.threads = threads;
    const setup::SweepSetup setup = setup::sweep_setup_of(plan);
    tune::Tuned tuned = tune::tune(plan, setup, options);
    tuned.with_flat_coils = tune::tuned_with_flat_coils(plan, options);
    std::optional<tune::TunedDays> days;
    if (!arguments.quick)
        days =
            tune::TunedDays{day::simulate_day(plan, setup::with_keep_out(plan, setup), {.threads = threads}),
                            day::simulate_day(tuned.plan, {.threads = threads})};
    put_out(arguments, {.json = tune::tune_json_text(tuned, days),
                        .csv = tune::tune_csv(tuned),
                        .html = tune::tune_html(tuned, days),
                        .text = tune::tune_text(tuned, days, colour_wanted(stdout)),
                        .plan = tuned.plan});
}

void tune_for_question(const TuneArguments& arguments, const plan::Plan& plan, unsigned threads) {
    rehearse::question::QuestionTuneOptions options = arguments.question;
    options.threads = threads;
    const setup::SweepSetup setup = setup::sweep_setup_of(plan);
    const rehearse::question::QuestionTuned tuned =
        rehearse::question::tune_for_question(plan, setup, options);
    std::optional<rehearse::question::QuestionDays> days;
    if (!arguments.quick)
        days =
            rehearse::question::question_days(plan, setup::with_keep_out(plan, setup), tuned.plan, options);
    put_out(arguments, {.json = rehearse::question::question_tune_json_text(tuned, days),
                        .csv = rehearse::question::question_tune_csv(tuned),
                        .html = rehearse::question::question_tune_html(tuned, days),
                        .text = rehearse::question::question_tune_text(tuned, days, colour_wanted(stdout)),
                        .plan = tuned.plan});
}

void run_tune(const TuneArguments& arguments) {
    const plan::Plan plan = arguments.plan.load();
    check_new_plan_file(arguments.plan, plan, arguments.new_plan);
    const unsigned threads = base::thread_count(arguments.threads);
    (arguments.for_question ? tune_for_question : tune_for_targets)(arguments, plan, threads);
}

}  // namespace

void add_tune(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<TuneArguments>();
    CLI::App* command = app.add_subcommand(
        "tune", "Sets each dwell to what the stations need, within budgets of time and energy");
    add_plan_argument(*command, arguments->plan);
    command->add_option("--new-plan", arguments->new_plan,
                        "Write the plan with its new dwells, and its comments, to this file; not over PLAN");
    command->add_option("--out", arguments->out,
                        "Folder for tune.json, tune.csv and tune.html (made if missing)");
    CLI::Option* for_question =
        command->add_flag("--for-question", arguments->for_question,
                          "Spend the dwell where it answers the plan's [question] best, not on the targets");
    command
        ->add_option("--runs", arguments->question.runs,
                     "Monte Carlo runs for the question: data sets drawn from each ground")
        ->check(CLI::Range(1, 1'000'000))
        ->needs(for_question)
        ->capture_default_str();
    command->add_option("--seed", arguments->question.seed, "Seed of these runs")
        ->needs(for_question)
        ->capture_default_str();
    command->add_option("--minimise", arguments->minimise, "energy or time: what is made small")
        ->excludes(for_question)
        ->check(CLI::IsMember({"energy", "time"}))
        ->capture_default_str();
    command
        ->add_option("--margin", arguments->options.margin_fraction,
                     "Plan error bars this much smaller than their targets")
        ->excludes(for_question)
        ->capture_default_str();
    command
        ->add_flag("--biased-too", arguments->options.biased_too,
                   "Also serve readings that no dwell can make plane")
        ->excludes(for_question);
    command->add_flag("--quick", arguments->quick, "Do not run the day before and after");
    command->add_flag("--json", arguments->json, "Print tune.json instead of text");
    command->add_option("--threads", arguments->threads, "Threads (results do not depend on it; 0: all)")
        ->capture_default_str();
    command->footer(
        "Budgets come from the plan: sweep.time_budget_s, sweep.energy_budget_wh (also with --set). "
        "When they\n"
        "do not reach, all error targets are relaxed by the smallest common factor that fits. For the\n"
        "question, a plan without budgets may spend what its sweep takes now.\n\n"
        "Examples:\n  ampturn tune demo/quick.toml\n"
        "  ampturn tune demo/vesslarook.toml --set sweep.time_budget_s=300 --new-plan tuned.toml\n"
        "  ampturn tune demo/vesslarook.toml --for-question --quick");
    command->callback([arguments] { run_tune(*arguments); });
}

}  // namespace ampturn::cli
