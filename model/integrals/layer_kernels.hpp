#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <vector>

#include "model/base/lane_count.hpp"
#include "model/contours/node_arrays.hpp"
#include "model/ground/earth.hpp"

namespace ampturn::model::integrals {

using contours::ComplexArray;

/// What the layered ground answers to each horizontal wavenumber lambda: nothing here depends on offset,
/// height, orientation or component.
///
///     u0 = sqrt(lambda^2 - k0^2)
///     TE: U the surface admittance ratio,  reflection (u0 - U)/(u0 + U),     2/(u0 + U)
///     TM: y0 Z,                            reflection (u0 - y0 Z)/(u0 + y0 Z), 2/(u0 + y0 Z)
///
/// Reflections are built from interface differences, so they keep their relative accuracy when tiny.
struct SurfaceResponse {
    ComplexArray u0, inverse_u0;
    ComplexArray te_surface, te_reflection, te_transmission;  // U, (u0-U)/(u0+U), 2/(u0+U)
    ComplexArray tm_surface, tm_reflection, tm_transmission;  // y0 Z, (u0-y0 Z)/(u0+y0 Z), 2/(u0+y0 Z)
};

/// Wavenumbers and what the ground answers to them.
struct SampledKernels {
    ComplexArray lambda;
    SurfaceResponse response;
};

/// One layered earth at one frequency, ready to answer.
class LayerKernels {
  public:
    LayerKernels(const ground::LayeredEarth& earth, double frequency_hz, ground::Wavenumbers wavenumbers);
    ~LayerKernels();
    LayerKernels(const LayerKernels&) = delete;
    LayerKernels& operator=(const LayerKernels&) = delete;

    /// lambda on a contour in the first quadrant or right of and below it where no singularity has been
    /// passed: Re u_j >= 0 is then the principal root. Re lambda > 0. Arrays of `out` may be longer than lambda.
    void evaluate(const ComplexArray& lambda, SurfaceResponse& out) const;

    double omega_rad_per_s() const { return omega_; }
    bool full_wave() const { return full_; }
    double k0_per_m() const { return k0_; }
    /// sqrt(max Re k_j^2) over air and layers: no bound or leaky TE singularity lies to the right of it.
    double rightmost_per_m() const { return rightmost_; }

  private:
    struct Plan;  // constants of the layers and interfaces, laid out for the loops
    std::unique_ptr<Plan> plan_;
    double omega_, k0_, rightmost_;
    bool full_;
};

}  // namespace ampturn::model::integrals
