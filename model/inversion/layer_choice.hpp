#pragma once

#include <functional>
#include <vector>

#include "model/ground/earth.hpp"
#include "model/inversion/inversion.hpp"

namespace ampturn::model::inversion {

/// How many layers the data ask for: few-layer inversions with one layer, two, and so on, and the one with
/// the smallest Bayesian information criterion
///
///     BIC = sum(((d - F)/sd)^2) + k ln n      n data, k = 2 layers - 1 parameters
///
/// (Schwarz 1978, Annals of Statistics 6, 461, with known standard deviations: the sum is -2 ln likelihood
/// but for a constant). A layer more must take some 2 ln n off the sum to be believed. Layer counts with as
/// many parameters as data are not tried.

double bayesian_information_criterion(double misfit_rms, int data_count, int parameter_count);

struct LayerTrial {
    int layers;
    double misfit_rms, criterion;
};
struct LayerChoice {
    std::vector<LayerTrial> trials;  // from one layer on
    ground::LayeredEarth found;
    InversionResult result;  // resistivities and thicknesses
};
/// `smooth`: a smooth ground that fits, where each trial starts (few_layers_of); a trial that ends with a larger
/// misfit than the one before starts again from that one's ground with a layer cut in two. `forward_over`: the
/// forward problem of resistivities and thicknesses of a ground like its argument. At least two data.
LayerChoice choose_layers(const InversionData& data, const ground::LayeredEarth& smooth,
                          const std::function<Forward(const ground::LayeredEarth& start)>& forward_over,
                          int layers_max = 5, const FewLayerOptions& options = {});

}  // namespace ampturn::model::inversion
