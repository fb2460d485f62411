#pragma once

#include <complex>

#include "model/ground/earth.hpp"

namespace ampturn::model::ground {

/// Surface impedance Ex/Hy at z = 0 of a vertically incident plane wave, ohm, e^{+i omega t}.
/// frequency_hz [1e-4, 1e6], RangeError "frequency_hz" outside. Accuracy: a few 1e-16 relative.
/// Recursion from the last layer up. Source: Wait (1970), Electromagnetic Waves in Stratified Media.
std::complex<double> plane_wave_impedance_ohm(const LayeredEarth& earth, double frequency_hz,
                                              Wavenumbers wavenumbers = Wavenumbers::full);

/// |Z|^2 / (omega mu0), ohm m. Source: Cagniard (1953).
double apparent_resistivity_ohm_m(std::complex<double> impedance_ohm, double frequency_hz);

/// arg Z in degrees; 45 over uniform ground without displacement currents.
double impedance_phase_deg(std::complex<double> impedance_ohm);

}  // namespace ampturn::model::ground
