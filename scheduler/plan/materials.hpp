#pragma once

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// What the kinds of metal and cell named in a plan are, each said once.

/// Copper 8890 kg/m3 (IEC 60028; tests/reference/facts), aluminium 2703 kg/m3 (IEC 60889, from memory).
constexpr double density_kg_per_m3(Conductor conductor) {
    return conductor == Conductor::copper ? 8890 : 2703;
}

/// By which cells are counted and watt-hours named: 3.2 V lithium iron phosphate, 2.0 V lead-acid (common practice, no
/// source).
constexpr double nominal_cell_v(Chemistry chemistry) { return chemistry == Chemistry::lifepo4 ? 3.2 : 2.0; }

}  // namespace ampturn::plan
