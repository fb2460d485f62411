#include "model/layer_choice.hpp"

#include <cmath>
#include <optional>
#include <stdexcept>

#include "model/sounding_forward.hpp"

namespace ampturn::model {

double bayesian_information_criterion(double misfit_rms, int data_count, int parameter_count) {
    return data_count * misfit_rms * misfit_rms + parameter_count * std::log(data_count);
}

LayerChoice choose_layers(const InversionData& data, const LayeredEarth& smooth,
                          const std::function<Forward(const LayeredEarth& start)>& forward_over,
                          int layers_max, const FewLayerOptions& options) {
    const auto unknowns = Unknowns::resistivities_and_thicknesses;
    const auto data_count = static_cast<int>(data.value.size());
    if (data_count < 2) throw std::invalid_argument("choose_layers: at least two data");
    std::vector<LayerTrial> trials;
    std::optional<LayerChoice> best;
    double least = 0;
    for (int layers = 1; layers <= layers_max && 2 * layers - 1 < data_count; ++layers) {
        const LayeredEarth start = few_layers_of(smooth, layers);
        InversionResult result =
            invert_few(data, forward_over(start), parameters_of(start, unknowns), options);
        const double criterion =
            bayesian_information_criterion(result.misfit_rms, data_count, 2 * layers - 1);
        trials.push_back({layers, result.misfit_rms, criterion});
        if (best && criterion >= least) continue;
        least = criterion;
        LayeredEarth found = earth_with(start, unknowns, result.parameters);
        best = LayerChoice{.trials = {}, .found = std::move(found), .result = std::move(result)};
    }
    best->trials = std::move(trials);
    return std::move(*best);
}

}  // namespace ampturn::model
