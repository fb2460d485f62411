#pragma once

#include <complex>
#include <vector>

#include "model/dipole_integrals.hpp"
#include "model/earth.hpp"
#include "model/fields.hpp"

namespace ampturn::model {

/// The eight integrals of dipole_integrals.hpp at the surface with their derivatives by every layer's ln rho
/// and ln t. Only the reflections depend on the ground, so with t = 2/(u0 + U) (TE; TM alike with y0 Z)
///
///     d(t) = -t^2/2 dU,    d(-U t) = u0 d(t),
///
/// and dU follows from differentiating the recursion U_j = a (U_{j+1} + a T)/(a + U_{j+1} T) term by term and
/// chaining from the top. The derivatives are integrated along the same contour as the fields.
struct DipoleSensitivity {
    DipoleIntegrals value;
    std::vector<DipoleIntegrals> by_ln_resistivity;  // one a layer
    std::vector<DipoleIntegrals> by_ln_thickness;    // one fewer
};

/// Receiver height 0, isotropic layers (vertical_resistivity_ratio 1), else std::invalid_argument.
/// Derivatives to about 1e-8 of the largest of each integral's own.
DipoleSensitivity dipole_sensitivity(const LayeredEarth& earth, double frequency_hz, const Placement& place,
                                     Wavenumbers wavenumbers = Wavenumbers::full);

}  // namespace ampturn::model
