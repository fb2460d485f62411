#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <charconv>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "scheduler/base/json.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/arguments/number_range.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/sweep/sweep_frequencies.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

struct FrequenciesOptions {
    PlanArgument plan;
    std::string propose;
    bool json = false;
    bool strict = false;
};

void frequencies(const FrequenciesOptions& options, ExitCode& result) {
    const plan::Plan plan = options.plan.load();
    if (!options.propose.empty()) {
        const NumberRange range = parse_number_range(options.propose, "--propose", 64);
        const double lowest = 2 * static_cast<double>(plan.driver.clock_hz) / 4294967294.0;
        if (!(range.low > lowest) || !(range.high <= static_cast<double>(plan.driver.clock_hz) / 4))
            throw base::InputError(
                {"--propose",
                 {},
                 "",
                 options.propose,
                 fmt::format("frequencies from {:g} Hz to a quarter of the clock", lowest)});
        const auto proposed = model::receiver::propose_frequencies(plan::placement_rules_of(plan), range.low,
                                                                   range.high, range.count);
        if (options.json)
            fmt::print("{}", base::json_text(sweep::proposal_json(plan, proposed), 2));
        else
            fmt::print("{}", sweep::proposal_text(plan, proposed));
        return;
    }
    const auto verdicts = plan::judge_placement_of(plan);
    if (options.json)
        fmt::print("{}", base::json_text(sweep::frequencies_json(plan, verdicts), 2));
    else
        fmt::print("{}", sweep::frequencies_text(plan, verdicts, colour_wanted(stdout)));
    const bool clean = std::all_of(verdicts.begin(), verdicts.end(), [](const auto& v) { return v.clean(); });
    if (options.strict && !clean) result = ExitCode::plan_fails;
}

}  // namespace

void add_frequencies(CLI::App& app, ExitCode& result) {
    auto options = std::make_shared<FrequenciesOptions>();
    CLI::App* command = app.add_subcommand("frequencies", "Judges the frequency table, or proposes one");
    add_plan_argument(*command, options->plan);
    command->add_option("--propose", options->propose,
                        "LOW:HIGH:N: propose N frequencies between two, evenly in log frequency");
    command->add_flag("--json", options->json, "JSON on standard output");
    command->add_flag("--strict", options->strict, "Exit with 1 when a frequency is not clean");
    command->footer(
        "A frequency is clean when it lies on a bin of the receiver, "
        "clear of mains harmonics (guard growing with the order), of the plan's interferers and services to avoid, "
        "and of the 3rd and 5th harmonics of the other frequencies.\n\n"
        "Examples:\n  ampturn frequencies demo/quick.toml\n"
        "  ampturn frequencies demo/quick.toml --propose 100:30000:12");
    command->callback([options, &result] { frequencies(*options, result); });
}

}  // namespace ampturn::cli
