#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/arguments/number_range.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/reference/transmitter_cases.hpp"
#include "scheduler/transmitter/transmitter_output.hpp"
#include "scheduler/transmitter/transmitter_page.hpp"
#include "scheduler/transmitter/transmitter_sheet.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

struct TransmitterOptions {
    PlanArgument plan;
    std::string cases;
    bool check = false;
    bool json = false, csv = false;
    std::string out, vary;
};

nlohmann::json read_cases(const std::string& path) {
    const std::string text = base::read_input_file(path, "a JSON file of cases", 64'000'000);
    try {
        return nlohmann::json::parse(text);
    } catch (const nlohmann::json::parse_error& e) {
        throw base::InputError({path, base::position_of_byte(text, e.byte > 0 ? e.byte - 1 : 0), "",
                                "text that is not JSON", "a JSON file of cases"});
    }
}

void run_cases(const TransmitterOptions& options, ExitCode& result) {
    const std::vector<reference::TransmitterCaseResult> results =
        reference::run_transmitter_cases(read_cases(options.cases), options.cases);
    fmt::print("{}", reference::transmitter_case_report(results));
    const bool all = std::all_of(results.begin(), results.end(), [](const auto& r) { return r.pass; });
    fmt::print("{}: {} of {} cases within their limits\n", options.cases,
               std::count_if(results.begin(), results.end(), [](const auto& r) { return r.pass; }),
               results.size());
    if (options.check && !all) result = ExitCode::plan_fails;
}

void write_all(const std::string& folder, const std::vector<base::NamedText>& files) {
    base::make_output_directory(folder);
    for (const base::NamedText& file : files) {
        const std::string path = (std::filesystem::path(folder) / file.name).string();
        base::write_output_file(path, file.text);
        fmt::print("{}\n", path);
    }
}

void show(const TransmitterOptions& options) {
    const plan::Plan plan = options.plan.load();
    const transmitter::TransmitterSheet sheet =
        transmitter::transmitter_sheet_of(plan, options.json || !options.out.empty());
    if (!options.out.empty())
        return write_all(options.out, {{"transmitter.html", transmitter::transmitter_page(plan, sheet)},
                                       {"transmitter.csv", transmitter::transmitter_csv(sheet)},
                                       {"transmitter_curves.csv", transmitter::transmitter_curves_csv(sheet)},
                                       {"transmitter.json",
                                        base::json_text(transmitter::transmitter_json(plan, sheet), 2)}});
    if (options.json)
        fmt::print("{}", base::json_text(transmitter::transmitter_json(plan, sheet), 2));
    else if (options.csv)
        fmt::print("{}", transmitter::transmitter_csv(sheet));
    else
        fmt::print("{}", transmitter::transmitter_text(plan, sheet, colour_wanted(stdout)));
}

void vary(const TransmitterOptions& options) {
    const auto equals = options.vary.find('=');
    if (equals == std::string::npos || equals == 0)
        throw base::InputError(
            {"--vary", {}, "", options.vary, "KEY=LOW:HIGH:N, KEY a numeric key of the plan"});
    transmitter::Variation variation;
    variation.key = options.vary.substr(0, equals);
    const NumberRange range = parse_number_range(options.vary.substr(equals + 1), "--vary", 200);
    const plan::Plan base = options.plan.load();
    for (const double value : evenly(range)) {
        PlanArgument changed = options.plan;
        changed.settings.push_back(variation.key + "=" + fmt::format("{}", value));
        variation.sheets.push_back({value, transmitter::transmitter_sheet_of(changed.load(), false)});
    }
    if (!options.out.empty())
        return write_all(options.out,
                         {{"transmitter_varied.html", transmitter::variation_page(base, variation)},
                          {"transmitter_varied.csv", transmitter::variation_csv(variation)}});
    if (options.json)
        fmt::print("{}", base::json_text(transmitter::variation_json(base, variation), 2));
    else if (options.csv)
        fmt::print("{}", transmitter::variation_csv(variation));
    else
        fmt::print("{}", transmitter::variation_text(base, variation));
}

}  // namespace

void add_transmitter(CLI::App& app, ExitCode& result) {
    auto options = std::make_shared<TransmitterOptions>();
    CLI::App* command = app.add_subcommand(
        "transmitter", "Loop, driver, battery and heat at every step, and what limits them");
    add_plan_argument(*command, options->plan);
    command->get_option("PLAN")->required(false);
    auto* cases =
        command->add_option("--cases", options->cases, "JSON file of reference cases to run, without a plan");
    command->add_flag("--check", options->check, "With --cases: exit with 1 when a case misses its limit")
        ->needs(cases);
    auto* json = command->add_flag("--json", options->json, "JSON on standard output");
    auto* csv = command->add_flag("--csv", options->csv, "CSV on standard output")->excludes(json);
    command->add_option("--out", options->out, "Folder for the chart page, CSV and JSON files")
        ->excludes(json)
        ->excludes(csv);
    command->add_option("--vary", options->vary,
                        "KEY=LOW:HIGH:N: the same with one numeric key of the plan varied");
    command->footer(
        "Examples:\n  ampturn transmitter demo/quick.toml\n  ampturn transmitter demo/quick.toml --out transmitter\n"
        "  ampturn transmitter demo/quick.toml --vary battery.cell_resistance_ohm=0.001:0.01:10\n"
        "  ampturn transmitter --cases tests/reference/rig/bridge.json --check");
    command->callback([options, &result] {
        if (!options->cases.empty()) return run_cases(*options, result);
        if (options->plan.path.empty())
            throw base::InputError({"", {}, "PLAN", "nothing", "a plan file, or --cases FILE"});
        options->vary.empty() ? show(*options) : vary(*options);
    });
}

}  // namespace ampturn::cli
