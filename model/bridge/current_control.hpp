#pragma once

/// The ways a driver holds a loop current to a limit.
namespace ampturn::model::bridge {

/// They differ by factors in the harmonics they leave, so the choice is an input.
enum class CurrentControl {
    duty,     ///< quasi-square, pulse width
    supply,   ///< square wave, bus voltage lowered by the converter
    latched,  ///< cycle by cycle: on until the instantaneous limit, then 0 V to the end of the half period
    clamp     ///< current rises to the limit and is held there by fast chopping
};

}  // namespace ampturn::model::bridge
