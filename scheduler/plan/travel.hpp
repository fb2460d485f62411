#pragma once

#include <string>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// Time on the way between two places of a plan, by name; "base" is one. A leg of the plan counts both ways
/// (the first that fits); without one, the straight line at walking speed. A base without a leg: 0, the crew
/// starts on the spot.
double travel_s(const Plan& plan, const std::string& from, const std::string& to);

/// The straight line between two places in metres; 0 to and from the base, whose place no plan gives.
double straight_m(const Plan& plan, const std::string& from, const std::string& to);

}  // namespace ampturn::plan
