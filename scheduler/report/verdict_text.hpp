#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

/// One letter for a verdict: U usable, N noisy, T transition, C near field (close to the source), X not sent; small where the plan does
/// not ask for the reading.
char verdict_letter(const reading::Reading& reading);

/// Lines that explain the letters.
std::string verdict_legend();

}  // namespace ampturn::report
