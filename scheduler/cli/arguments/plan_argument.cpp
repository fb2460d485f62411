#include "scheduler/cli/arguments/plan_argument.hpp"

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>

#include "scheduler/base/input_file.hpp"

namespace ampturn::cli::arguments {

const std::string& PlanArgument::text() const {
    if (!text_read) text_read = base::read_input_file(path);
    return *text_read;
}

std::vector<plan::file::Setting> PlanArgument::parsed_settings() const {
    std::vector<plan::file::Setting> parsed;
    for (const std::string& setting : settings) parsed.push_back(plan::file::parse_setting(setting));
    return parsed;
}

plan::Plan PlanArgument::load() const {
    return plan::file::parse_plan(text(), base::shown_path(path), parsed_settings());
}

void add_plan_argument(CLI::App& command, PlanArgument& argument) {
    command
        .add_option("PLAN", argument.path, "Plan file (TOML), - for standard input; see `ampturn explain`")
        ->required();
    command
        .add_option("--set", argument.settings,
                    "KEY=VALUE: use this value instead of the file's; may be repeated. "
                    "List entries count from 1: earth.resistivity_ohm_m[2]=50")
        ->expected(1)
        ->take_all();
}

}  // namespace ampturn::cli::arguments
