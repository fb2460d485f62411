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
#include "scheduler/base/text_table.hpp"
#include "scheduler/cli/arguments/number_range.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/emission/clear_frequencies.hpp"
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

void print_json(nlohmann::json data, const std::string& kept_clear) {
    data["kept_clear"] = kept_clear.empty() ? nlohmann::json(nullptr) : nlohmann::json(kept_clear);
    fmt::print("{}", base::json_text(data, 2));
}

void frequencies(const FrequenciesOptions& options, ExitCode& result) {
    const plan::Plan plan = options.plan.load();
    const std::string kept_clear = emission::what_is_kept_clear(plan);
    const std::string sentence = kept_clear.empty() ? "" : base::wrapped_item("", kept_clear, 110, 0) + "\n";
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
        const auto proposed = emission::propose_clear_frequencies(plan, range.low, range.high, range.count);
        if (options.json)
            print_json(sweep::proposal_json(plan, proposed.lines), kept_clear);
        else
            fmt::print("{}{}", sentence, sweep::proposal_text(proposed.rules, proposed.lines));
        return;
    }
    const auto verdicts = emission::judge_frequencies(plan);
    if (options.json)
        print_json(sweep::frequencies_json(plan, verdicts), kept_clear);
    else
        fmt::print("{}{}", sentence, sweep::frequencies_text(plan, verdicts, colour_wanted(stdout)));
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
