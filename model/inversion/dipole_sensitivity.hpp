#pragma once

#include <complex>
#include <map>
#include <memory>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "model/integrals/dipole_integrals.hpp"

namespace ampturn::model::inversion {

/// The eight integrals of dipole_integrals.hpp at the surface with their derivatives by every layer's ln rho
/// and ln t. Only the reflections depend on the ground, so with t = 2/(u0 + U) (TE; TM alike with y0 Z)
///
///     d(t) = -t^2/2 dU,    d(-U t) = u0 d(t),
///
/// and dU follows from differentiating the recursion U_j = a (U_{j+1} + a T)/(a + U_{j+1} T) term by term and
/// chaining from the top. The derivatives are integrated along the same contour as the fields.
struct DipoleSensitivity {
    integrals::DipoleIntegrals value;
    std::vector<integrals::DipoleIntegrals> by_ln_resistivity;  // one a layer
    std::vector<integrals::DipoleIntegrals> by_ln_thickness;    // one fewer
};

/// One placement, evaluated over many grounds, as an inversion does: the contour and its Bessel functions are
/// kept from call to call. Shorter and coarser than the field engine's contour: values and derivatives to
/// about 1e-6 of the largest of each kind, checked against the engine. Receiver height 0, isotropic layers
/// (vertical_resistivity_ratio 1) for derivatives; else RangeError. Not for use by two threads at
/// once.
class DipoleContour {
  public:
    explicit DipoleContour(const integrals::Placement& place);
    ~DipoleContour();
    DipoleContour(DipoleContour&&) noexcept;

    integrals::DipoleIntegrals value(const ground::LayeredEarth& earth, double frequency_hz,
                                     ground::Wavenumbers wavenumbers = ground::Wavenumbers::full);
    DipoleSensitivity sensitivity(const ground::LayeredEarth& earth, double frequency_hz,
                                  ground::Wavenumbers wavenumbers = ground::Wavenumbers::full);

  private:
    struct Nodes;
    const Nodes& nodes_for(double rightmost_per_m);
    integrals::Placement place_;
    std::map<int, std::unique_ptr<Nodes>> nodes_;  // by number of level panels
};

}  // namespace ampturn::model::inversion
