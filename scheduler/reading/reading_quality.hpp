#pragma once

#include <vector>

#include "model/receiver/noise.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/assess_reading.hpp"

namespace ampturn::plan {

/// How far a reading is from its targets, as pure numbers: what planning needs before anything is sent.

/// One requirement on the dwells of the two loops: a_s / T_A + b_s / T_B <= 1. Exact to first order of the
/// error propagation, since the variance of an impedance element is linear in the channels' variances, and
/// these fall as one over the dwell.
struct DwellTerm {
    Element element;
    double a_s, b_s;
};

/// How the natural field counts: as noise of E and of H by themselves, the upper limit; or as the plane wave
/// it is, E and H tied by the ground (model/ground/tied_noise.hpp).
enum class NaturalView { untied, tied };

/// Terms of the elements the plan asks for; the stricter of its two error targets (resistivity, phase)
/// counts. Infinite where the two magnetic fields are parallel, so that no dwell gives a tensor.
/// moment_*: peak, A m2; enbw_bins: noise bandwidth of the receiver's window.
std::vector<DwellTerm> dwell_terms(const FieldPerMoment& a, const FieldPerMoment& b, double moment_a_a_m2,
                                   double moment_b_a_m2, const model::NoiseAt& noise, double enbw_bins,
                                   std::complex<double> plane_impedance_ohm, const Targets& targets,
                                   NaturalView view = NaturalView::untied);

/// Error bar over its target, the worst of the terms: sqrt(max(a/T_A + b/T_B)); at most 1 is strong enough.
double error_ratio(const std::vector<DwellTerm>& terms, double dwell_a_s, double dwell_b_s);

/// Bias over its tolerance, the worst of resistivity and phase of the elements asked for (the anti-diagonal
/// ones: a plane wave has no others); at most 1 is plane. Infinite where no tensor exists.
double bias_ratio(const FieldPerMoment& a, const FieldPerMoment& b, std::complex<double> plane_impedance_ohm,
                  double frequency_hz, const Targets& targets);

}  // namespace ampturn::plan
