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
#include "scheduler/base/nesting.hpp"
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

constexpr std::size_t varied_max = 1000;  // combinations: some minutes

struct TransmitterOptions {
    PlanArgument plan;
    std::string cases;
    bool check = false;
    bool json = false, csv = false;
    std::string out;
    std::vector<std::string> vary;
};

nlohmann::json read_cases(const std::string& path) {
    const std::string text = base::read_input_file(path, "a JSON file of cases", 64'000'000);
    if (const auto at = base::json_nested_too_deep(text))
        throw base::InputError(
            {path, base::position_of_byte(text, *at), "", base::json_nesting_found, base::nesting_allowed});
    try {
        return nlohmann::json::parse(text);
    } catch (const nlohmann::json::out_of_range&) {
        throw base::InputError(
            {path, {}, "", "a number beyond all that a computer holds", "a JSON file of cases"});
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

/// A key of the plan and the values it is to have.
struct VariedKey {
    std::string key;
    std::vector<double> values;
};

std::vector<VariedKey> varied_keys(const std::vector<std::string>& flags) {
    std::vector<VariedKey> out;
    std::size_t combinations = 1;
    for (const std::string& flag : flags) {
        const auto equals = flag.find('=');
        if (equals == std::string::npos || equals == 0)
            throw base::InputError({"--vary", {}, "", flag, "KEY=LOW:HIGH:N, KEY a numeric key of the plan"});
        const std::string key = flag.substr(0, equals);
        if (std::any_of(out.begin(), out.end(), [&](const VariedKey& v) { return v.key == key; }))
            throw base::InputError({"--vary", {}, key, "the key twice", "each key once"});
        out.push_back({key, evenly(parse_number_range(flag.substr(equals + 1), "--vary", 200))});
        combinations *= out.back().values.size();
        if (combinations > varied_max)
            throw base::InputError({"--vary",
                                    {},
                                    key,
                                    fmt::format("{} combinations with the keys before it", combinations),
                                    fmt::format("at most {} combinations of all keys together", varied_max)});
    }
    return out;
}

void vary(const TransmitterOptions& options) {
    const std::vector<VariedKey> keys = varied_keys(options.vary);
    transmitter::Variation variation;
    std::size_t combinations = 1;
    for (const VariedKey& key : keys) {
        variation.keys.push_back(key.key);
        combinations *= key.values.size();
    }
    const plan::Plan base = options.plan.load();
    for (std::size_t i = 0; i < combinations; ++i) {
        transmitter::VariedSheet sheet;
        PlanArgument changed = options.plan;
        std::size_t below = combinations;  // of one value of the key before
        for (const VariedKey& key : keys) {
            below /= key.values.size();
            sheet.values.push_back(key.values[i / below % key.values.size()]);
            changed.settings.push_back(fmt::format("{}={}", key.key, sheet.values.back()));
        }
        sheet.sheet = transmitter::transmitter_sheet_of(changed.load(), false);
        variation.sheets.push_back(std::move(sheet));
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
    command
        ->add_option(
            "--vary", options->vary,
            fmt::format("KEY=LOW:HIGH:N: the same with a numeric key of the plan varied; may be repeated: "
                        "every value with every other, at most {} of them",
                        varied_max))
        ->expected(1)
        ->take_all();
    command->footer(
        "Examples:\n  ampturn transmitter demo/quick.toml\n  ampturn transmitter demo/quick.toml --out transmitter\n"
        "  ampturn transmitter demo/quick.toml --vary battery.cell_resistance_ohm=0.001:0.01:10\n"
        "  ampturn transmitter demo/quick.toml --vary loop.a.side_m=4:8:3 --vary driver.current_limit_a=10:20:3\n"
        "  ampturn transmitter --cases tests/reference/rig/bridge.json --check");
    command->callback([options, &result] {
        if (!options->cases.empty()) return run_cases(*options, result);
        if (options->plan.path.empty())
            throw base::InputError({"", {}, "PLAN", "nothing", "a plan file, or --cases FILE"});
        options->vary.empty() ? show(*options) : vary(*options);
    });
}

}  // namespace ampturn::cli
