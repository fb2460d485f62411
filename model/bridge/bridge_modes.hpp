#pragma once

#include <functional>

#include "model/bridge/bridge.hpp"

/// Inside of the bridge solution: natural modes of the load between two edges, and the current held by chopping.
namespace ampturn::model::bridge {

/// Voltage of the capacitor at the two edges; 0 without one.
struct EdgeVoltages {
    double rising_v = 0, falling_v = 0;
};
/// Fills the edge currents, peak, rms and capacitor voltage of the periodic state (dead time ignored).
EdgeVoltages solve_modes(const BridgeLoad& load, const BridgeVoltage& voltage, BridgeCurrent& out);

/// Integral of i^2 over span_s of i = i0 e^{-rate t} + settled (1 - e^{-rate t}).
double mode_squares(double rate_per_s, double start_a, double settled_a, double span_s);

/// Integral of the square of a current that moves with modes no faster than this, over span_s from 0.
double integral_of_square(const std::function<double(double)>& current_at_s, double span_s,
                          double fastest_rad_per_s);

/// R-L held at +-clamp_a by fast chopping; clamp_a < bus_v/R. Gives the rise time from -clamp to +clamp.
BridgeCurrent clamped_state(const BridgeLoad& load, double frequency_hz, double bus_v, double clamp_a,
                            double& rise_time_s);

}  // namespace ampturn::model::bridge
