#pragma once

#include <array>
#include <complex>

#include "model/bridge/bridge.hpp"

/// Two loads with mutual inductance, each on a bridge of its own, the second bridge a quarter period behind the
/// first (the middles of the pulses):
///
///     v1 = (R1 + i w L1 + 1/(i w C1)) i1 + i w M i2,    v2 = i w M i1 + (R2 + i w L2 + 1/(i w C2)) i2
///
/// solved for each odd harmonic. Rms and power are sums over harmonics; for waveforms the harmonics' limit at high
/// frequency, the inductances alone, is a polygon in time and summed in closed form, so that what is left falls with
/// the cube of the order. What counts is w M/R, about coupling times quality factor. Source: coupled circuits, any text.
///
/// Accuracy without dead time: 1e-5 of full drive. Dead time counts to its first order: an edge is late by the share
/// of its dead time in which the current holds the old state. A current that rests at zero is not modelled; the error
/// is below that of an edge moved by the dead time, 2 frequency * dead time of full drive.
namespace ampturn::model::bridge {

struct CoupledBridges {
    std::array<BridgeLoad, 2> load;
    double mutual_h = 0;  ///< of either sign, M^2 < L1 L2
    double frequency_hz;  ///< of both bridges
    /// frequency_hz is ignored. bus_v or duty of 0: the bridge shorts its load.
    std::array<BridgeVoltage, 2> voltage;
};

/// Currents of both; phases relative to each one's own bridge. mean_power_w is what each bridge gives: R rms^2 only
/// in the sum, for power passes from one loop to the other; one of them may be negative.
std::array<BridgeCurrent, 2> coupled_steady_state(const CoupledBridges& bridges, bool with_harmonics = true);

/// Peak phasors of the two currents at one frequency, given those of the voltages.
std::array<std::complex<double>, 2> coupled_currents_a(const std::array<BridgeLoad, 2>& load, double mutual_h,
                                                       double frequency_hz,
                                                       const std::array<std::complex<double>, 2>& volts);

}  // namespace ampturn::model::bridge
