#pragma once

#include "model/bridge/bridge.hpp"

/// Inside of the bridge solution: a dead time within which the current passes through zero. Not for use outside
/// model/bridge*.
///
/// Leg A switches at 0 and T/2, leg B the on-time later. For the dead time after its edge both switches of a leg
/// are off and its diodes set its voltage by the sign of the current; a current that has come to zero rests
/// there for as long as the capacitor's voltage lies between the two voltages the diodes could set. With load
/// and diodes passive, two solutions approach each other in energy: there is one periodic state, it is half-wave
/// antisymmetric, and it moves continuously with every input. It is found by Newton's method on the state half
/// a period later; between events current and capacitor voltage are closed forms. Source: maximal monotone
/// (complementarity) circuits, any text on diode circuits; from memory.
namespace ampturn::model::bridge {

struct BridgeState {
    double current_a = 0, capacitor_v = 0;
};
/// Any load with a capacitor, any dead time shorter than the on-time. Throws std::runtime_error if it finds no
/// periodic state, which the contraction above rules out but for rounding. Edge currents count each turn of the bridge's voltage near
/// that edge, by the share of bus_v it turns, so that switching_loss_w holds; their sign is the largest one's.
/// `near`: a state at the rising edge to start from, any; the nearer, the sooner it ends.
BridgeCurrent steady_state_with_dead_time(const BridgeLoad& load, const BridgeVoltage& voltage,
                                          const BridgeState& near, bool with_harmonics);

/// The bridge's voltage over a half period: held on [from, to].
struct HeldVoltage {
    double from_s, to_s, volts;
};
/// Amplitudes (all, or only the fundamental) and phase of the current that it drives.
void fill_harmonics(const BridgeLoad& load, double frequency_hz, const HeldVoltage* held, int count,
                    bool with_harmonics, BridgeCurrent& out);

}  // namespace ampturn::model::bridge
