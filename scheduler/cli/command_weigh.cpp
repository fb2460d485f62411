#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "scheduler/base/input_file.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/weigh/choices_file.hpp"
#include "scheduler/weigh/weigh_output.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

struct WeighArguments {
    PlanArgument plan;
    std::string choices, out;
    int chosen = 0;
    unsigned threads = 0;
    bool json = false;
};

void run_weigh(const WeighArguments& arguments) {
    const plan::Plan plan = arguments.plan.load();
    const weigh::Choices choices =
        weigh::parse_choices(base::read_input_file(arguments.choices), base::shown_path(arguments.choices));
    weigh::WeighOptions options{.threads = base::thread_count(arguments.threads), .chosen = {}};
    if (arguments.chosen != 0) options.chosen = arguments.chosen;
    const weigh::Weighed weighed = weigh::weigh(plan, choices, options);
    const std::string json = base::json_text(weigh::weigh_json(plan, choices, weighed), 2);
    if (!arguments.out.empty()) {
        base::make_output_directory(arguments.out);
        base::write_output_file(arguments.out + "/weigh.html", weigh::weigh_page(plan, choices, weighed));
        base::write_output_file(arguments.out + "/weigh.json", json);
        base::write_output_file(arguments.out + "/weigh.toml",
                                plan::file::write_plan(weighed.front[weighed.chosen].plan));
    }
    fmt::print("{}", arguments.json ? json : weigh::weigh_text(plan, choices, weighed));
}

}  // namespace

void add_weigh(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<WeighArguments>();
    CLI::App* command = app.add_subcommand(
        "weigh", "Senders made of given parts: most moment against carried weight and watt-hours");
    add_plan_argument(*command, arguments->plan);
    command->add_option("CHOICES", arguments->choices, "File of choices (TOML): parts, stock, limits")
        ->required();
    command->add_option("--choose", arguments->chosen,
                        "Number on the front of the sender to show in full (else by search.choose)");
    command->add_option("--out", arguments->out,
                        "Folder for weigh.html, weigh.json and weigh.toml, the chosen sender as a plan");
    command->add_flag("--json", arguments->json, "JSON on standard output");
    command->add_option("--threads", arguments->threads, "Threads (results do not depend on it; 0: all)")
        ->capture_default_str();
    command->footer("Example:\n  ampturn weigh demo/quick.toml demo/parts.toml --out weighed");
    command->callback([arguments] { run_weigh(*arguments); });
}

}  // namespace ampturn::cli
