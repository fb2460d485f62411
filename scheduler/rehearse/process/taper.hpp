#pragma once

#include <cstddef>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::rehearse {

/// Samples w[0 .. length-1] of a window in its periodic form (denominator N), which is what a transform of N
/// samples wants. Source of the windows and of the figures below: Harris (1978), Proc. IEEE 66, 51.
/// length >= 1.
std::vector<double> taper(plan::Window window, std::size_t length);

/// mean(w): amplitude of a line after windowing, relative.
double coherent_gain(const std::vector<double>& weights);
/// Equivalent noise bandwidth in bins: mean(w^2)/mean(w)^2.
double noise_bandwidth_bins(const std::vector<double>& weights);
/// Loss of a line half-way between two bins, dB.
double scalloping_loss_db(const std::vector<double>& weights);

/// Half-width of the main lobe, bins: neighbours farther away than this are free of the line.
int main_lobe_bins(plan::Window window);

}  // namespace ampturn::rehearse
