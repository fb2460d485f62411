#pragma once

#include <complex>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"

namespace ampturn::model::inversion {

/// Surface impedance of a plane wave with its derivatives. With Z_j the impedance on top of layer j, c the
/// layer's intrinsic impedance and T = tanh(gamma t),
///
///     Z_j = c (Z_{j+1} + c T)/(c + Z_{j+1} T)
///
/// is differentiated term by term and chained from the top. Source of the recursion: Wait (1970).
struct PlaneWaveSensitivity {
    std::complex<double> impedance_ohm;
    std::vector<std::complex<double>> by_ln_resistivity_ohm;  // dZ/d ln rho_j, one a layer
    std::vector<std::complex<double>> by_ln_thickness_ohm;    // dZ/d ln t_j, one fewer
};

/// frequency_hz [1e-4, 1e6], else RangeError. Impedance as plane_wave_impedance_ohm() to a few
/// ulp; derivatives to about 1e-14 of the largest of them.
PlaneWaveSensitivity plane_wave_sensitivity(const ground::LayeredEarth& earth, double frequency_hz,
                                            ground::Wavenumbers wavenumbers = ground::Wavenumbers::full);

}  // namespace ampturn::model::inversion
