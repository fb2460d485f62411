#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/plan.hpp"

namespace CLI {
class App;
}

namespace ampturn::cli::arguments {

/// The PLAN argument and `--set KEY=VALUE` that most commands share.
struct PlanArgument {
    std::string path;
    std::vector<std::string> settings;

    /// The bytes of PLAN, read once: standard input gives them no second time.
    const std::string& text() const;
    /// Those of --set. InputError for what is no KEY=VALUE.
    std::vector<plan::file::Setting> parsed_settings() const;
    plan::Plan load() const;

    mutable std::optional<std::string> text_read = {};  // by text()
};

/// `argument` must live as long as the command.
void add_plan_argument(CLI::App& command, PlanArgument& argument);

}  // namespace ampturn::cli::arguments
