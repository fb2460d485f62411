#pragma once

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// Whether a station asks for a frequency: it names it to within a thousandth, or names none and asks for all.
bool is_required(const Station& station, double frequency_hz);

}  // namespace ampturn::plan
