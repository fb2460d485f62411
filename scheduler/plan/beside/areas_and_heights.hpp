#pragma once

#include <vector>

#include "scheduler/plan/beside/file_beside.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan::beside {

/// Reads the files of [areas] and [terrain] into the plan and holds sites and stations against them: the files are there, no site
/// stands in an excluded area, all places have a height. InputError for what is wrong with a file itself.
std::vector<Clash> read_areas_and_heights(Plan& plan);

}  // namespace ampturn::plan::beside
