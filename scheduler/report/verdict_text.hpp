#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::plan {

/// One letter for a verdict: U usable, N noisy, B biased, Z near zone, X not sent; small where the plan does
/// not ask for the reading.
char verdict_letter(const Reading& reading);

/// Lines that explain the letters.
std::string verdict_legend();

}  // namespace ampturn::plan
