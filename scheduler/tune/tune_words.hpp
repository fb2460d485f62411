#pragma once

#include <string>

#include "scheduler/tune/tune.hpp"

namespace ampturn::tune {

/// Station and element whose error bar sets the dwell: "V3 xy"; "" when none is served.
std::string decider_text(const TunedFrequency& frequency, const plan::Plan& plan);

/// One line: who needs the frequency, what limits its dwell, what it costs.
std::string explanation_text(const TunedFrequency& frequency, const plan::Plan& plan);

}  // namespace ampturn::tune
