#pragma once

#include <span>

#include "model/bridge/bridge.hpp"

/// What load and bridge go through while the drive rises from rest in levels. A drive cycle begins in the middle of
/// the positive pulse: the current of a loop without a capacitor passes through zero there, so that a level that
/// follows another leaves it hardly any offset. A load with a capacitor that is driven beside its resonance beats:
/// current and volts pass what they come to in the end. Source: piecewise exponential solution from rest, any
/// circuits text.
namespace ampturn::model::bridge {

/// Made by pulse width.
struct RiseLevel {
    double fraction;  ///< of the drive's fundamental, 0..1
    int cycles;       ///< >= 0
};

/// The largest from the start until what is left of the last level's beginning is below a ten-thousandth.
struct RisePeaks {
    double peak_a = 0;
    double capacitor_peak_v = 0;  ///< 0 without one
};

/// `levels` in their order, and then the whole drive. Dead time is not counted. Of a level the cycles until it has
/// settled to that are followed.
RisePeaks rise_peaks(const BridgeLoad& load, const BridgeVoltage& drive, std::span<const RiseLevel> levels);

}  // namespace ampturn::model::bridge
