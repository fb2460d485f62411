#pragma once

#include <map>
#include <memory>
#include <vector>

#include "model/integrals/dipole_integrals.hpp"
#include "model/integrals/field_workspace.hpp"
#include "model/integrals/offset_curve.hpp"

namespace ampturn::model::integrals {

/// Quasi-static integrals by a digital filter, lagged: kernels on one log-spaced set of wavenumbers, the filter moved
/// along it gives the integrals on a log-spaced set of offsets, and 18 or 22 of those around an offset the curve there.
/// Horizontal dipoles, receiver on the surface. A contour at both ends of the range gives the error estimate.
///
/// Serves one ground and frequency and one thread.
class FilterOffsets {
  public:
    /// Offsets asked for will lie in [nearest_m, farthest_m].
    FilterOffsets(const LayerKernels& kernels, double tolerance_rel, double nearest_m, double farthest_m,
                  FieldWorkspace& workspace);
    ~FilterOffsets();

    /// The curve around an offset, or nullptr outside the range, where heights matter at the near end, where
    /// waves run in the air, and where the check missed the tolerance. Lives as long as this object.
    const OffsetPolynomial* piece_at(double log_offset, const Heights& heights);

  private:
    struct Curve;
    const Curve& curve_of(const Heights& heights);
    void fill(Curve& curve, const Heights& heights);
    void check(Curve& curve, const Heights& heights) const;
    const OffsetPolynomial* piece_of(const Curve& curve, double log_offset) const;

    const LayerKernels& kernels_;
    double tolerance_rel_, nearest_log_, farthest_log_;
    bool fine_;
    const PiecewiseFit& map_;
    int margin_;                 // rows needed on either side of an offset
    int first_ = 0, count_ = 0;  // rows: offsets e^{spacing (first + i)}
    FieldWorkspace& workspace_;
    bool sampled_ = false;                              // the filter abscissae are in the workspace
    std::map<Heights, std::unique_ptr<Curve>> curves_;  // of receivers on the ground
    Heights last_heights_{-1, 0};
    const Curve* last_ = nullptr;
};

}  // namespace ampturn::model::integrals
