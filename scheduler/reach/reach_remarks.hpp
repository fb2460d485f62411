#pragma once

#include <vector>

#include "scheduler/plan/remarks.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reach {

/// A plan of whose required readings not one would be usable, each station from its own site: judged as site_search.hpp
/// does, at the hour in the middle of the day. `setup` is the plan's own.
std::vector<plan::Remark> reach_remarks(const plan::Plan& plan, const setup::SurveySetup& setup);

}  // namespace ampturn::reach
