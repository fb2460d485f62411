#pragma once

#include <string>

#include "scheduler/plan/day_result.hpp"

namespace ampturn::plan {

/// Everything of the report between <body> and the scripts.
std::string report_body(const DayResult& day);

}  // namespace ampturn::plan
