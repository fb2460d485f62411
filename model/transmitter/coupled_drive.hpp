#pragma once

#include <array>

#include "model/transmitter/limited_drive.hpp"

/// Two coupled loops driven up to their limits from one bus. Inside of the operating point.
namespace ampturn::model::transmitter {

struct CoupledCircuits {
    std::array<LoopCircuit, 2> circuit;  ///< the second a quarter period behind, or idle: closed, not driven
    double mutual_h = 0;
    bool second_driven = true;
};

/// Each bridge's regulator brings its own fundamental to the target as far as its full drive goes, the other's
/// induced volts included; then both levels are lowered by one factor until every limit holds for both loops, an
/// idle one's current and capacitor too. Powers are limited in their sum, given in `limits`. Of several solutions of
/// the two regulators the one is taken that their steps from full drive lead to.
/// An open loop carries nothing and must not be handed in. A clamped current is taken as duty.
std::array<DrivenLoop, 2> drive_coupled_within_limits(const CoupledCircuits& circuits, double bus_v,
                                                      const DriveLimits& limits, bool with_harmonics);

}  // namespace ampturn::model::transmitter
