#pragma once

#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/keep_out.hpp"

namespace ampturn::setup {

/// What can hurt someone in this plan, with its own numbers; each defers to local rules and licensed practice.
std::vector<std::string> cautions_of(const plan::Plan& plan, const KeepOut& keep_out);

}  // namespace ampturn::setup
