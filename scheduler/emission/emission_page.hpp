#pragma once

#include <string>

#include "scheduler/emission/sweep_emission.hpp"

namespace ampturn::emission {

/// The same as emission_text, for a page: a table step by step, then verdicts and services as a list.
std::string emission_html(const SweepEmission& emission);

}  // namespace ampturn::emission
