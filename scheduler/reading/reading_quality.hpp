#pragma once

#include <optional>
#include <vector>

#include "model/ground/tensor.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/tensor_reading.hpp"

namespace ampturn::reading {

/// How far a reading is from the plan's targets. Only the elements the plan asks for count.

/// Standard deviations of apparent resistivity and phase.
struct ErrorBar {
    double resistivity_percent, phase_deg;
};

/// Largest |dZ/Z|^2 allowed: sd(rho)/rho = sqrt(2) |dZ/Z|, sd(phase) = |dZ/Z| / sqrt(2).
double relative_variance_allowed(const plan::Targets& targets);

/// The largest; an element of the diagonal, where Z is near zero, against the plane wave's |Z|. Zero unless
/// both loops were sent.
ErrorBar worst_error(const TensorReading& reading, const plan::Targets& targets,
                     NoiseView view = NoiseView::uncorrelated);

/// The largest of each, with its sign; none of the diagonal, which a plane wave does not have.
model::ground::PlaneWaveBias worst_bias(const TensorReading& reading, const plan::Targets& targets);

/// What a bias makes of a reading, by the plan's tolerances.
model::ground::Zone zone_of(const model::ground::PlaneWaveBias& bias, const plan::Targets& targets);

/// Worst error bar over its target; at most 1 is strong enough. Infinite where there is no tensor or not both
/// loops were sent.
double error_ratio(const std::optional<TensorReading>& reading, const plan::Targets& targets,
                   NoiseView view = NoiseView::uncorrelated);

/// Worst bias over its tolerance; at most 1 is plane. Infinite where there is no tensor.
double bias_ratio(const std::optional<TensorReading>& reading, const plan::Targets& targets);

/// One requirement on the dwells of the two loops: a_s / T_A + b_s / T_B <= 1. Exact to first order of the
/// error propagation (OneSecondReadings).
struct DwellTerm {
    plan::Element element;
    double a_s, b_s;
};
struct DwellTerms {
    std::vector<DwellTerm> uncorrelated, correlated;  // by the view of the noise
};

/// Terms of the elements the plan asks for, whatever dwells `input` has; the stricter of its two error
/// targets (resistivity, phase) counts, less what the sensors take of it whatever the dwell. Infinite where no dwell gives a
/// tensor, or the sensors alone miss the target.
DwellTerms dwell_terms(const ReadingInput& input, const plan::Targets& targets);

/// By what the moments would have to grow, or the root of the dwells, for the error bars to meet their targets: at most 1
/// where error_ratio is, and larger than it where the sensors take their part. Infinite where no moment is enough.
double needed_moment_factor(const ReadingInput& input, const plan::Targets& targets);

}  // namespace ampturn::reading
