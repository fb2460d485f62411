#pragma once

#include <algorithm>
#include <cmath>
#include <complex>

#include "model/fields/fields.hpp"
#include "model/integrals/dipole_integrals.hpp"
#include "model/integrals/filter_offsets.hpp"
#include "model/integrals/shared_offsets.hpp"

namespace ampturn::model::fields {

/// A field with an estimate of its error, and the slowest way of integrating that went into it.
struct Estimate {
    Fields fields{};
    double e_error = 0, h_error = 0;
    Integration integration = Integration::interpolated;
};

/// Largest component; fields here are far from where a square could overflow or underflow.
inline double e_size(const Fields& f) {
    return std::sqrt(std::max(std::norm(f.ex_v_per_m), std::norm(f.ey_v_per_m)));
}
inline double h_size(const Fields& f) {
    return std::sqrt(std::max({std::norm(f.hx_a_per_m), std::norm(f.hy_a_per_m), std::norm(f.hz_a_per_m)}));
}
inline Fields operator+(const Fields& a, const Fields& b) {
    return {a.ex_v_per_m + b.ex_v_per_m, a.ey_v_per_m + b.ey_v_per_m, a.hx_a_per_m + b.hx_a_per_m,
            a.hy_a_per_m + b.hy_a_per_m, a.hz_a_per_m + b.hz_a_per_m};
}
inline Fields operator-(const Fields& a, const Fields& b) {
    return {a.ex_v_per_m - b.ex_v_per_m, a.ey_v_per_m - b.ey_v_per_m, a.hx_a_per_m - b.hx_a_per_m,
            a.hy_a_per_m - b.hy_a_per_m, a.hz_a_per_m - b.hz_a_per_m};
}

/// Adds a dipole's field to those before it.
inline void add(const Estimate& term, Estimate& sum) {
    sum.fields = sum.fields + term.fields;
    sum.e_error += term.e_error;
    sum.h_error += term.h_error;
    sum.integration = std::max(sum.integration, term.integration);
}

/// The wave that comes straight through the air, in closed form.
Fields direct_wave(const integrals::LayerKernels& kernels, const Dipole& dipole, const Receiver& receiver);

/// Fields of point dipoles by contours for each very offset; where two unlike ones disagree by more than the
/// tolerance, along the real axis.
class DirectFields {
  public:
    DirectFields(const integrals::LayerKernels& kernels, double tolerance_rel,
                 integrals::FieldWorkspace& workspace);
    Estimate at(const Dipole& dipole, const Receiver& receiver) const;

  private:
    const integrals::LayerKernels& kernels_;
    double tolerance_rel_;
    integrals::FieldWorkspace& workspace_;
};

/// Fields of point dipoles from curves shared among offsets, or where they do not serve by the offset's own
/// contours. Offsets are expected within [nearest_m, farthest_m]; others are served too. One thread.
class InterpolatedFields {
  public:
    InterpolatedFields(const integrals::LayerKernels& kernels, double tolerance_rel, double nearest_m,
                       double farthest_m, integrals::FieldWorkspace& workspace);
    Estimate at(const Dipole& dipole, const Receiver& receiver);

    /// The curve to try first, with the way it was made; nullptr where there is none.
    struct Choice {
        const integrals::OffsetPolynomial* piece;
        Integration integration;
    };
    Choice curve_at(double log_offset, const integrals::Heights& heights, bool with_vertical);

    const integrals::LayerKernels& kernels() const { return kernels_; }
    double tolerance_rel() const { return tolerance_rel_; }

  private:
    const integrals::LayerKernels& kernels_;
    double tolerance_rel_;
    integrals::FilterOffsets filter_;
    integrals::SharedOffsets shared_;
    DirectFields direct_;
};

}  // namespace ampturn::model::fields
