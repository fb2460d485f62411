#pragma once

#include "model/bridge/bridge.hpp"
#include "model/bridge/current_control.hpp"

/// A loop current held to a limit by the driver, and what each way of holding it leaves of the waveform.
namespace ampturn::model::bridge {

/// How the driver holds a current. They differ by factors in the harmonics they leave, so the choice is an
/// input.
enum class CurrentControl {
    duty,     ///< quasi-square, pulse width
    supply,   ///< square wave, bus voltage lowered by the converter
    latched,  ///< cycle by cycle: on until the instantaneous limit, then 0 V to the end of the half period
    clamp     ///< current rises to the limit and is held there by fast chopping
};
enum class CurrentQuantity { fundamental_peak, rms, peak };

/// A current held to a limit. `limited` is false when full drive stays below it.
struct HeldCurrent {
    BridgeCurrent current;
    bool limited = false;
    double duty = 1;         ///< control = duty or latched: on-time over half period
    double bus_v = 0;        ///< what the bridge sees (lowered when control = supply)
    double rise_time_s = 0;  ///< control = clamp: from -limit to +limit
};
/// full.duty = 1 is assumed. Clamp and latched need a load without a capacitor (throws RangeError otherwise):
/// a clamped current would charge one without end; after a latch one drives the current on past the limit, and
/// above resonance the latch may trip in some half periods only, so that the current repeats every few periods.
/// For `latched` and `clamp` with quantity other than peak the threshold that gives the quantity is found.
HeldCurrent hold_current(const BridgeLoad& load, const BridgeVoltage& full, CurrentControl control,
                         CurrentQuantity quantity, double limit_a, bool with_harmonics = true);

}  // namespace ampturn::model::bridge
