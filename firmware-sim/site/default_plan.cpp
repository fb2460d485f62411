#include "embedded/default_plan.hpp"
#include "firmware-sim/site/transmitter_setup.hpp"

namespace ampturn::sim::site {

std::string_view default_plan() { return embedded::default_plan::plan(); }

}  // namespace ampturn::sim::site
