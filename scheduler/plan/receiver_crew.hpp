#pragma once

#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// A receiver crew with every value filled in, from its own table or from [day].
struct CrewValues {
    std::string name;  // empty: the only crew of a plan that names none
    int people;
    int sensor_sets;  // stations it can have standing at once, >= 1
    double pack_up_s;
};

/// Every crew of the plan, in its order; at least one.
std::vector<CrewValues> receiver_crews_of(const Plan& plan);

/// Setting up a station takes what it says itself, else what its crew says, else what the day says.
double receiver_set_up_s(const Plan& plan, const Station& station);

}  // namespace ampturn::plan
