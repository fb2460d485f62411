#pragma once

#include <array>
#include <complex>

#include "model/ground/tensor.hpp"

namespace ampturn::model::ground {

/// What the impedance tensor owes to sensors that are not quite what they are taken for, the same in both polarisations
/// and however long the dwell: first order of E' = (1 + A) E, H' = (1 + B) H + e Hz, hence
///
///     dZ = A Z - Z (B + e T),   Hz = T H
///
/// with the gains of the four sensors on the diagonals of A and B, turned sensors beside them, and coils off level by e.
/// Standard deviations >= 0. Gains err in size and phase alike, each part by gain_rel. Source: first-order error
/// propagation, as in tensor.hpp.
struct SensorErrors {
    double gain_rel = 0;     // of each sensor
    double azimuth_rad = 0;  // of each sensor
    double level_rad = 0;    // of each horizontal coil
};

/// Variance of each element, ohm^2. `tipper_x`, `tipper_y`: Hz = tipper_x Hx + tipper_y Hy of these two polarisations.
TensorVariance sensor_variance(const ImpedanceTensor& impedance, std::complex<double> tipper_x,
                               std::complex<double> tipper_y, const SensorErrors& errors);

/// Hz = x Hx + y Hy solved for two polarisations whose magnetic fields are not parallel.
struct Tipper {
    std::complex<double> x, y;
};
Tipper tipper_of(const HorizontalFields& a, std::complex<double> hz_a, const HorizontalFields& b,
                 std::complex<double> hz_b);

/// Sensors that are off by so much: gains times what they are taken for, E and H turned so that each picks up a part of its
/// neighbour, coils off level so that they pick up a part of Hz.
struct SensorsOff {
    std::array<std::complex<double>, 4> gain{1, 1, 1, 1};  // Ex, Ey, Hx, Hy
    std::array<double, 4> turned_rad{};                    // of Ey, Ex, Hy, Hx
    std::array<double, 2> off_level_rad{};                 // Hx, Hy
};
/// The tensor that such sensors give: (1 + A) Z (1 + B + e T)^-1, exactly.
ImpedanceTensor recorded_by(const SensorsOff& sensors, const ImpedanceTensor& impedance,
                            const Tipper& tipper);

}  // namespace ampturn::model::ground
