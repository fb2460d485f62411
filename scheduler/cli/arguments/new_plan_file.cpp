#include "scheduler/cli/arguments/new_plan_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "scheduler/base/input_error.hpp"

namespace ampturn::cli::arguments {

namespace {

/// Files the plan names by where they stand beside it.
std::vector<std::string> files_beside(const plan::Plan& plan) {
    std::vector<std::string> names{plan.noise.spectrum_csv, plan.areas.exclusion_geojson,
                                   plan.areas.tracks_geojson, plan.terrain.elevation_grid};
    for (const plan::Station& station : plan.stations) names.push_back(station.spectrum_csv);
    std::erase_if(names, [](const std::string& name) {
        return name.empty() || std::filesystem::path(name).is_absolute();
    });
    return names;
}

std::filesystem::path folder_of(const std::string& file) {
    const std::filesystem::path folder = std::filesystem::path(file).parent_path();
    return folder.empty() ? "." : folder;
}

}  // namespace

void check_new_plan_file(const PlanArgument& argument, const plan::Plan& plan, const std::string& new_plan) {
    if (new_plan.empty()) return;
    std::error_code missing;
    if (std::filesystem::equivalent(new_plan, argument.path, missing))
        throw base::InputError({"--new-plan", {}, "", new_plan + ", the plan itself", "another file"});
    const std::vector<std::string> names = files_beside(plan);
    if (!names.empty() &&
        !std::filesystem::equivalent(folder_of(new_plan), folder_of(argument.path), missing))
        throw base::InputError(
            {"--new-plan",
             {},
             "",
             fmt::format("{}, in another folder than \"{}\", which the plan names", new_plan, names.front()),
             "a file in the folder of the plan: files are looked for beside it"});
}

std::vector<std::string> changed_tables(const PlanArgument& argument, std::vector<std::string> by_command) {
    for (const std::string& setting : argument.settings)
        by_command.push_back(setting.substr(0, setting.find_first_of(".[=")));
    return by_command;
}

}  // namespace ampturn::cli::arguments
