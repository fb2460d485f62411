#pragma once

#include "model/bridge/bridge.hpp"

/// Inside of the bridge solution: natural modes of the load between two edges, and the current held by chopping.
namespace ampturn::model::bridge {

/// Fills the edge currents, peak, rms and capacitor voltage of the periodic state (dead time ignored).
void solve_modes(const BridgeLoad& load, const BridgeVoltage& voltage, BridgeCurrent& out);

/// Integral of i^2 over span_s of i = i0 e^{-rate t} + settled (1 - e^{-rate t}).
double mode_squares(double rate_per_s, double start_a, double settled_a, double span_s);

/// R-L held at +-clamp_a by fast chopping; clamp_a < bus_v/R. Gives the rise time from -clamp to +clamp.
BridgeCurrent clamped_state(const BridgeLoad& load, double frequency_hz, double bus_v, double clamp_a,
                            double& rise_time_s);

}  // namespace ampturn::model::bridge
