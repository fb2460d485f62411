#include "scheduler/reference/held_current.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/base/root.hpp"
#include "model/bridge/bridge_modes.hpp"

namespace ampturn::reference {

using model::bracketed_root;
using model::bridge::bridge_steady_state;
using model::bridge::BridgeCurrent;
using model::bridge::BridgeLoad;
using model::bridge::BridgeVoltage;
using model::bridge::clamped_state;
using model::bridge::CurrentControl;
using model::bridge::no_capacitor;

namespace {

double quantity_of(const BridgeCurrent& c, CurrentQuantity q) {
    switch (q) {
        case CurrentQuantity::fundamental_peak:
            return c.fundamental_peak_a;
        case CurrentQuantity::rms:
            return c.rms_a;
        case CurrentQuantity::peak:
            return c.peak_a;
    }
    return 0;
}

// Duty at which the quantity equals the limit, given that it exceeds it at D = 1. Exists by continuity (it is
// zero at D = 0); of the two that rounding leaves, the one within the limit.
double duty_for(const BridgeLoad& load, BridgeVoltage v, CurrentQuantity quantity, double limit_a,
                double full_value) {
    if (quantity == CurrentQuantity::fundamental_peak && v.dead_time_s == 0)
        return 2 / model::pi * std::asin(std::min(1.0, limit_a / full_value));
    if (quantity == CurrentQuantity::peak && load.capacitance_f == no_capacitor && v.dead_time_s == 0) {
        // I (1 - e^{-x D})/(1 + e^{-x}) = limit.
        const double x = load.resistance_ohm / load.inductance_h * 0.5 / v.frequency_hz;
        return -std::log1p(-limit_a * load.resistance_ohm / v.bus_v * (1 + std::exp(-x))) / x;
    }
    double within = 0;  // the bracket's lower end
    const auto excess = [&](double duty) {
        v.duty = duty;
        const double value = quantity_of(bridge_steady_state(load, v, false), quantity) - limit_a;
        if (value <= 0) within = std::max(within, duty);
        return value;
    };
    bracketed_root(excess, 0.0, 1.0, -limit_a, full_value - limit_a, 1e-15);
    return within;
}

HeldCurrent clamp_current(const BridgeLoad& load, const BridgeVoltage& full, CurrentQuantity quantity,
                          double limit_a, const BridgeCurrent& square, double full_value) {
    HeldCurrent held;
    held.limited = true;
    held.bus_v = full.bus_v;
    double clamp = limit_a;
    if (quantity != CurrentQuantity::peak) {
        // Smallest level that gives the quantity. At the square wave's own peak the clamp does nothing.
        const auto excess = [&](double level) {
            double rise = 0;
            return quantity_of(clamped_state(load, full.frequency_hz, full.bus_v, level, rise), quantity) -
                   limit_a;
        };
        const double top = square.peak_a * (1 - 1e-12);
        clamp = bracketed_root(excess, 0.0, top, -limit_a, full_value - limit_a, 1e-15 * square.peak_a);
    }
    held.current = clamped_state(load, full.frequency_hz, full.bus_v, clamp, held.rise_time_s);
    return held;
}

}  // namespace

HeldCurrent hold_current(const BridgeLoad& load, const BridgeVoltage& full, CurrentControl control,
                         CurrentQuantity quantity, double limit_a) {
    if (control == CurrentControl::clamp && load.capacitance_f != no_capacitor)
        throw model::RangeError("capacitance_f", load.capacitance_f, model::at_least(no_capacitor),
                                std::nullopt, "a clamped current would charge a capacitor without end");
    if (control == CurrentControl::latched && load.capacitance_f != no_capacitor)
        throw model::RangeError("capacitance_f", load.capacitance_f, model::at_least(no_capacitor),
                                std::nullopt, "a capacitor drives the current on after the latch");
    HeldCurrent held;
    held.bus_v = full.bus_v;
    BridgeVoltage v = full;
    v.duty = 1;
    held.current = bridge_steady_state(load, v);
    const double full_value = quantity_of(held.current, quantity);
    if (full_value <= limit_a) return held;
    held.limited = true;
    if (limit_a <= 0) {
        held.current = {};
        held.duty = 0;
        return held;
    }
    switch (control) {
        case CurrentControl::supply:
            held.bus_v = full.bus_v * limit_a / full_value;
            v.bus_v = held.bus_v;
            break;
        case CurrentControl::clamp:
            return clamp_current(load, full, quantity, limit_a, held.current, full_value);
        case CurrentControl::latched:  // in the periodic state: on until the limit, the same pulse as by duty
        case CurrentControl::duty:
            held.duty = duty_for(load, full, quantity, limit_a, full_value);
            v.duty = held.duty;
            break;
    }
    held.current = bridge_steady_state(load, v);
    return held;
}

}  // namespace ampturn::reference
