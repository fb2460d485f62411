#pragma once

#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan::beside {

/// A key of the plan that does not go with a file it names.
struct Clash {
    std::string key, found, allowed;
};

/// Reads the files of [areas] and [terrain] into the plan and holds sites and stations against them: no site in an excluded area, all
/// places where there is a height. InputError for what is wrong with a file itself.
std::vector<Clash> read_areas_and_heights(Plan& plan);

}  // namespace ampturn::plan::beside
