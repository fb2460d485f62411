#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/arguments/new_plan_file.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/tree/edit_text.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

struct EditOptions {
    PlanArgument plan;
    std::string new_plan;
};

void run_edit(const EditOptions& options) {
    const plan::Plan wanted = options.plan.load();
    check_new_plan_file(options.plan, wanted, options.new_plan);
    const std::string edited =
        plan::tree::with_settings(options.plan.text(), wanted.source.path, options.plan.parsed_settings());
    plan::file::parse_plan(edited, wanted.source.path);  // nothing is written that does not load
    if (options.new_plan.empty())
        fmt::print("{}", edited);
    else
        base::write_output_file(options.new_plan, edited);
}

}  // namespace

void add_edit(CLI::App& app, ExitCode&) {
    auto options = std::make_shared<EditOptions>();
    CLI::App* command =
        app.add_subcommand("edit", "Writes a plan with other values, its comments and layout kept");
    add_plan_argument(*command, options->plan);
    command->add_option("--new-plan", options->new_plan,
                        "File to write instead of standard output; not over PLAN");
    command->footer(
        "Only what --set names is written anew; a key that the file leaves out gets a line in its table. A plan that would not load "
        "is not written.\n\n"
        "Example:\n  ampturn edit demo/quick.toml --set battery.sets_carried=3 --new-plan three_sets.toml");
    command->callback([options] { run_edit(*options); });
}

}  // namespace ampturn::cli
