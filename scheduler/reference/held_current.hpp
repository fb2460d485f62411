#pragma once

#include "model/bridge/bridge.hpp"
#include "model/bridge/current_control.hpp"

/// One loop current held to one limit, on a bus of fixed voltage: what each way of holding it leaves of the waveform. The
/// model itself drives a loop to several limits at once (model/transmitter/limited_drive.hpp).
namespace ampturn::reference {

enum class CurrentQuantity { fundamental_peak, rms, peak };

/// A current held to a limit. `limited` is false when full drive stays below it.
struct HeldCurrent {
    model::bridge::BridgeCurrent current;
    bool limited = false;
    double duty = 1;         ///< control = duty or latched: on-time over half period
    double bus_v = 0;        ///< what the bridge sees (lowered when control = supply)
    double rise_time_s = 0;  ///< control = clamp: from -limit to +limit
};
/// full.duty = 1 is assumed. Clamp and latched need a load without a capacitor (throws RangeError otherwise): a clamped current
/// would charge one without end; after a latch one drives the current on past the limit.
/// For `latched` and `clamp` with quantity other than peak the threshold that gives the quantity is found.
HeldCurrent hold_current(const model::bridge::BridgeLoad& load, const model::bridge::BridgeVoltage& full,
                         model::bridge::CurrentControl control, CurrentQuantity quantity, double limit_a);

}  // namespace ampturn::reference
