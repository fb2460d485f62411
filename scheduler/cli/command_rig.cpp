#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "scheduler/cli/commands.hpp"
#include "scheduler/plan/input_error.hpp"
#include "scheduler/plan/json_positions.hpp"
#include "scheduler/plan/rig_cases.hpp"

namespace ampturn::cli {

namespace {

struct RigOptions {
    std::string cases;
    bool check = false;
};

nlohmann::json read_cases(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    if (!in) throw plan::InputError({path, {}, "", "nothing that can be read", "a JSON file of cases"});
    const std::string text((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
    try {
        return nlohmann::json::parse(text);
    } catch (const nlohmann::json::parse_error& e) {
        throw plan::InputError({path, plan::position_of_byte(text, e.byte > 0 ? e.byte - 1 : 0), "",
                                "text that is not JSON", "a JSON file of cases"});
    }
}

void run_cases(const RigOptions& options, ExitCode& result) {
    std::vector<plan::RigCaseResult> results;
    try {
        results = plan::run_rig_cases(read_cases(options.cases));
    } catch (const std::invalid_argument& e) {
        throw plan::InputError(
            {options.cases, {}, "", e.what(), "{\"cases\": [{id, kind, inputs, outputs}, ...]}"});
    }
    fmt::print("{}", plan::rig_case_report(results));
    const bool all = std::all_of(results.begin(), results.end(), [](const auto& r) { return r.pass; });
    fmt::print("{}: {} of {} cases within their limits\n", options.cases,
               std::count_if(results.begin(), results.end(), [](const auto& r) { return r.pass; }),
               results.size());
    if (options.check && !all) result = ExitCode::plan_fails;
}

}  // namespace

void add_rig(CLI::App& app, ExitCode& result) {
    auto options = std::make_shared<RigOptions>();
    CLI::App* command = app.add_subcommand("rig", "Loop, driver, battery and heat");
    command->add_option("--cases", options->cases, "JSON file of reference cases to run")->required();
    command->add_flag("--check", options->check, "Exit with 1 when a case misses its limit");
    command->callback([options, &result] { run_cases(*options, result); });
}

}  // namespace ampturn::cli
