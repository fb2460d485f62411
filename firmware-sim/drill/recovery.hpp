#pragma once

#include <span>
#include <string_view>

#include "firmware-sim/site/fault.hpp"

namespace ampturn::sim::drill {

/// The right order of steps when this goes wrong: shown in the debrief for every fault that occurred. Common
/// practice, no source, where no rule is named; local rules and licensed practice come first.
std::span<const std::string_view> recovery_steps(site::Fault fault);

}  // namespace ampturn::sim::drill
