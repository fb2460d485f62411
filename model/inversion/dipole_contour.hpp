#pragma once

#include <map>
#include <memory>

#include "model/ground/earth.hpp"
#include "model/integrals/dipole_integrals.hpp"
#include "model/inversion/contour_sums.hpp"

namespace ampturn::model::inversion {

/// One placement, evaluated over many grounds, as an inversion does: the contour and its Bessel functions are
/// kept from call to call. Shorter and coarser than the field engine's contour: values and derivatives to
/// about 1e-6 of the largest of each kind, checked against the engine. Receiver height 0, isotropic layers
/// (vertical_resistivity_ratio 1) for derivatives; else RangeError. Not for use by two threads at
/// once.
class DipoleContour {
  public:
    /// vertical_moment: the integrals of a vertical dipole are wanted too.
    DipoleContour(const integrals::Placement& place, bool vertical_moment);
    ~DipoleContour();
    DipoleContour(DipoleContour&&) noexcept;

    SurfaceSums sums(const ground::LayeredEarth& earth, double frequency_hz, Slopes slopes,
                     ground::Wavenumbers wavenumbers = ground::Wavenumbers::full);

  private:
    const ContourNodes& nodes_for(double rightmost_per_m);
    integrals::Placement place_;
    bool vertical_moment_;
    std::map<int, std::unique_ptr<ContourNodes>> nodes_;  // by number of level panels
};

}  // namespace ampturn::model::inversion
