#pragma once

#include <string>
#include <vector>

#include "scheduler/cli/arguments/plan_argument.hpp"

namespace ampturn::cli::arguments {

/// InputError when `--new-plan` would write over PLAN, or into another folder although the plan names files that stand beside it,
/// which the new plan would not find. Nothing for an empty `new_plan`.
void check_new_plan_file(const PlanArgument& argument, const plan::Plan& plan, const std::string& new_plan);

/// Tables of PLAN that a new plan writes anew: those a command changes, and what --set touched.
std::vector<std::string> changed_tables(const PlanArgument& argument, std::vector<std::string> by_command);

}  // namespace ampturn::cli::arguments
