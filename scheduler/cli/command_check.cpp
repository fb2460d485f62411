#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/emission/emission_output.hpp"
#include "scheduler/plan/explain/plan_json.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/plan/tree/config_toml.hpp"
#include "scheduler/reach/reach_remarks.hpp"
#include "scheduler/setup/remarks/survey_remarks.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

struct CheckOptions {
    PlanArgument plan;
    bool json = false;
};

std::vector<plan::Remark> remarks_on(const plan::Plan& plan, const setup::SurveySetup& setup) {
    std::vector<plan::Remark> remarks = plan_remarks(plan);
    for (plan::Remark& remark : setup::remarks::survey_remarks(plan, setup))
        remarks.push_back(std::move(remark));
    for (plan::Remark& remark : reach::reach_remarks(plan, setup)) remarks.push_back(std::move(remark));
    if (plan.emission)
        for (plan::Remark& remark : emission::emission_remarks(plan, emission::emission_of(plan, setup)))
            remarks.push_back(std::move(remark));
    return in_order_of_the_file(std::move(remarks));
}

/// The plan's values as the file and --set give them, and the remarks.
void print_json(const PlanArgument& argument, const plan::Plan& plan, const setup::SurveySetup& setup) {
    plan::tree::Value given = plan::tree::parse_toml(argument.text(), plan.source.path);
    for (const plan::tree::Setting& setting : argument.parsed_settings())
        plan::tree::apply_setting(given, setting);
    nlohmann::ordered_json remarks = nlohmann::ordered_json::array();
    for (const plan::Remark& remark : remarks_on(plan, setup))
        remarks.push_back({{"line", remark.position.line},
                           {"column", remark.position.column},
                           {"key", remark.key},
                           {"text", remark.text}});
    const nlohmann::ordered_json all{{"schema", "ampturn.check"},
                                     {"schema_version", 1},
                                     {"version", base::version()},
                                     {"git_hash", base::git_hash()},
                                     {"plan_path", plan.source.path},
                                     {"given", plan::explain::given_json(given)},
                                     {"remarks", remarks}};
    fmt::print("{}\n", all.dump(2));
}

void run_check(const CheckOptions& options) {
    const PlanArgument& argument = options.plan;
    const plan::Plan plan = argument.load();
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    if (options.json) return print_json(argument, plan, setup);
    fmt::print(
        "{}: a valid plan{}: layers {}, sites {}, stations {}, frequencies {}, steps {}, one sweep {}\n",
        plan.source.path, plan.survey.invented ? " (invented scenario)" : "",
        plan.earth.resistivity_ohm_m.size(), plan.sites.size(), plan.stations.size(),
        plan.sweep.frequencies_hz().size(), plan.sweep.steps.size(),
        base::duration_text(setup.table.duration_s));
    for (const plan::Remark& remark : remarks_on(plan, setup))
        fmt::print("{}{}: {}: remark: {}\n", plan.source.path,
                   remark.position.line > 0  // 0: of a table the file leaves out
                       ? fmt::format(":{}:{}", remark.position.line, remark.position.column)
                       : std::string(),
                   remark.key, remark.text);
}

}  // namespace

void add_check(CLI::App& app, ExitCode&) {
    auto options = std::make_shared<CheckOptions>();
    CLI::App* command = app.add_subcommand("check", "Checks a plan file and points at what will not do");
    add_plan_argument(*command, options->plan);
    command->add_flag("--json", options->json, "The plan's own values and the remarks, for programs");
    command->footer(
        "Prints one line for each problem: file:line:column, key, what was found, what is allowed.\n\n"
        "Examples:\n  ampturn check demo/quick.toml\n"
        "  ampturn check demo/quick.toml --set battery.capacity_ah=40\n"
        "  ampturn check - <demo/quick.toml");
    command->callback([options] { run_check(*options); });
}

}  // namespace ampturn::cli
