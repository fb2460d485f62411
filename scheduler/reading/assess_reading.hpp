#pragma once

#include "model/receiver/noise.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/reading.hpp"
#include "scheduler/reading/tensor_reading.hpp"

namespace ampturn::reading {

/// Signal, noise, error bars and bias of one station and frequency, and the verdict with its reason.
///
///     SNR = |m G|^2 / (2 S b / T),   var = 2 S b / T in each channel
///
/// with the natural field counted as noise (it adds to S), m and T as sent. Error bars and bias:
/// tensor_reading.hpp; the verdict goes by the uncorrelated ones. Fills everything of Reading but the indices
/// and `required`. std::domain_error where there is no tensor.
enum class Reasons { told, left_out };  // left out: Reading::reason stays empty, for who only counts
Reading assess_reading(const ReadingInput& input, const plan::Targets& targets,
                       Reasons reasons = Reasons::told);

/// Relative standard deviation of apparent resistivity, in per cent, when the natural field is the signal: a
/// band of a tenth of the frequency is averaged over recorded_s. Sources: Bendat & Piersol, Random Data
/// (degrees of freedom of a band average, from memory); bandwidth: assumption.
double natural_sounding_sd_percent(const model::receiver::NoiseAt& noise, double frequency_hz,
                                   double recorded_s);

}  // namespace ampturn::reading
