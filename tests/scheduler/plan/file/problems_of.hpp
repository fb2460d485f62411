#pragma once

#include <string>
#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/file/config.hpp"

namespace ampturn::test {

/// What is wrong with the text of a plan, "plan.toml" by name; empty where nothing is.
inline std::vector<base::InputProblem> problems_of(const std::string& text,
                                                   const std::vector<plan::file::Setting>& settings = {}) {
    try {
        plan::file::parse_plan(text, "plan.toml", settings);
    } catch (const base::InputError& error) {
        return error.problems();
    }
    return {};
}

}  // namespace ampturn::test
