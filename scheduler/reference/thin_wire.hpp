#pragma once

#include "model/loop/loop.hpp"

/// Inductance by the handbooks, beside which the model's own is put.
namespace ampturn::reference {

/// The handbook (thin-wire) form, gmr only in the logarithm (Grover 1946); differs from self_inductance_h by
/// O(gmr/side). For the circle: the Rayleigh-Niven ring with uniform current is ring_inductance_h.
double self_inductance_thin_wire_h(const model::loop::LoopOutline& outline, double gmr_m);
/// Ring of round wire, uniform current: mu0 R [(1 + a^2/8R^2) ln(8R/a) + a^2/24R^2 - 7/4] (Rosa & Grover,
/// Scientific Paper 169, from memory); error O((a/R)^4).
double ring_inductance_h(double radius_m, double wire_radius_m);

}  // namespace ampturn::reference
