#pragma once

#include <vector>

#include "firmware-sim/drill/drill.hpp"
#include "firmware-sim/drill/timeline.hpp"

namespace ampturn::sim::drill {

/// Work that a good operator does not do: a repair that mended nothing, and a look that showed again what it had just shown with
/// nothing done or happened between. What the drill's own good steps name is never needless the first time.
struct NeedlessWork {
    double time_s;
    site::Action action;
};
std::vector<NeedlessWork> needless_work(const Drill& drill, const Timeline& timeline);

}  // namespace ampturn::sim::drill
