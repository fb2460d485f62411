#pragma once

#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace CLI {
class App;
}

namespace ampturn::cli {

/// The PLAN argument and `--set KEY=VALUE` that most commands share.
struct PlanArgument {
    std::string path;
    std::vector<std::string> settings;

    plan::Plan load() const;
};

/// `argument` must live as long as the command.
void add_plan_argument(CLI::App& command, PlanArgument& argument);

}  // namespace ampturn::cli
