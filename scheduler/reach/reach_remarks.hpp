#pragma once

#include <vector>

#include "scheduler/plan/remarks.hpp"

namespace ampturn::reach {

/// A plan of whose required readings not one would be usable, each station from its own site: judged as site_search.hpp
/// does, at the hour in the middle of the day.
std::vector<plan::Remark> reach_remarks(const plan::Plan& plan);

}  // namespace ampturn::reach
