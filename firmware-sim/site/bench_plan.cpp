#include "embedded/default_plan.hpp"
#include "firmware-sim/site/kit.hpp"

namespace ampturn::sim {

std::string_view bench_plan() { return embedded::default_plan::bench(); }

}  // namespace ampturn::sim
