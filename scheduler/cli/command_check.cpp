#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/base/number_text.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/emission/emission_output.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/reach/reach_remarks.hpp"
#include "scheduler/setup/remarks/survey_remarks.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

void run_check(const PlanArgument& argument) {
    const plan::Plan plan = argument.load();
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    fmt::print(
        "{}: a valid plan{}: layers {}, sites {}, stations {}, frequencies {}, steps {}, one sweep {}\n",
        plan.source.path, plan.survey.invented ? " (invented scenario)" : "",
        plan.earth.resistivity_ohm_m.size(), plan.sites.size(), plan.stations.size(),
        plan.sweep.frequencies_hz().size(), plan.sweep.steps.size(),
        base::duration_text(setup.table.duration_s));
    std::vector<plan::Remark> remarks = plan_remarks(plan);
    for (plan::Remark& remark : setup::remarks::survey_remarks(plan, setup))
        remarks.push_back(std::move(remark));
    for (plan::Remark& remark : reach::reach_remarks(plan, setup)) remarks.push_back(std::move(remark));
    if (plan.emission)
        for (plan::Remark& remark : emission::emission_remarks(plan, emission::emission_of(plan, setup)))
            remarks.push_back(std::move(remark));
    for (const plan::Remark& remark : in_order_of_the_file(std::move(remarks)))
        fmt::print("{}{}: {}: remark: {}\n", plan.source.path,
                   remark.position.line > 0  // 0: of a table the file leaves out
                       ? fmt::format(":{}:{}", remark.position.line, remark.position.column)
                       : std::string(),
                   remark.key, remark.text);
}

}  // namespace

void add_check(CLI::App& app, ExitCode&) {
    auto argument = std::make_shared<PlanArgument>();
    CLI::App* command = app.add_subcommand("check", "Checks a plan file and points at what will not do");
    add_plan_argument(*command, *argument);
    command->footer(
        "Prints one line for each problem: file:line:column, key, what was found, what is allowed.\n\n"
        "Examples:\n  ampturn check demo/quick.toml\n"
        "  ampturn check demo/quick.toml --set battery.capacity_ah=40\n"
        "  ampturn check - <demo/quick.toml");
    command->callback([argument] { run_check(*argument); });
}

}  // namespace ampturn::cli
