#include "firmware-sim/panel/assets.hpp"
#include "firmware-sim/unit/kit.hpp"

namespace ampturn::sim {

std::string_view bench_plan() { return asset_at("(bench plan)")->bytes; }

}  // namespace ampturn::sim
