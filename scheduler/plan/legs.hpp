#pragma once

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// Of a plan that lost stations, the legs that lead to one of them, or from it: nobody goes there any more.
void drop_lost_legs(Plan& plan);

}  // namespace ampturn::plan
