#pragma once

#include "model/bridge/bridge.hpp"
#include "model/bridge/current_control.hpp"
#include "model/transmitter/operating_point.hpp"

/// One loop's circuit driven up to its limits from a given bus voltage. Inside of the operating point.
namespace ampturn::model::transmitter {

/// What the circuit must stay within; no_limit where it does not matter.
struct DriveLimits {
    double fundamental_peak_a = no_limit;
    double rms_a = no_limit;
    double heat_rms_a = no_limit;
    double peak_a = no_limit;
    double capacitor_peak_v = no_limit;
    double bus_power_w = no_limit;        ///< including switching and fixed losses
    double battery_current_w = no_limit;  ///< bus power that the battery's current limit allows
};

struct LoopCircuit {
    bridge::BridgeLoad load;
    double switch_ohm = 0;  ///< both switches in series, part of load.resistance_ohm
    double frequency_hz = 0;
    double dead_time_s = 0, overlap_s = 0;
    double fixed_w = 0;
    double duty = 1;  ///< of full drive
    bridge::CurrentControl control = bridge::CurrentControl::duty;
    bool open = false;
};

struct DrivenLoop {
    bridge::BridgeCurrent current;
    double duty = 0;
    double bridge_v = 0;  ///< lowered when control = supply
    double switching_w = 0;
    double bus_w = 0;  ///< loop, switches, switching and fixed losses
    Limit limited_by = Limit::voltage;
};

/// The largest drive within the limits. The drive's level (duty, voltage or clamp) runs from 0 to 1; every
/// limited quantity is continuous in it and 0 (power: the fixed losses) at 0, so each violated limit has a
/// level that meets it, found inside a bracket, whose end within the limit is taken. The lowest level of all is
/// taken, then checked again.
DrivenLoop drive_within_limits(const LoopCircuit& circuit, double bus_v, const DriveLimits& limits,
                               bool with_harmonics);

}  // namespace ampturn::model::transmitter
