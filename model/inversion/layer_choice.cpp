#include "model/inversion/layer_choice.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "model/base/check_range.hpp"
#include "model/inversion/sounding_forward.hpp"

namespace ampturn::model::inversion {
namespace {

/// A ground with one of its layers cut in two: at its middle, the lowest at twice the depth of its top.
ground::LayeredEarth with_layer_cut(const ground::LayeredEarth& earth, std::size_t cut) {
    std::vector<ground::Layer> layers;
    double top_m = 0;
    for (std::size_t i = 0; i < earth.size(); ++i) {
        layers.push_back(earth[i]);
        if (i == cut) {
            const bool lowest = i + 1 == earth.size();
            const double above_m = lowest ? std::max(1.0, top_m) : earth[i].thickness_m / 2;
            layers.back().thickness_m = above_m;
            layers.push_back(earth[i]);
            if (!lowest) layers.back().thickness_m = earth[i].thickness_m - above_m;
        }
        top_m += earth[i].thickness_m;
    }
    return ground::LayeredEarth(std::move(layers));
}

bool inside(const Eigen::VectorXd& parameters, const ParameterBounds& bounds) {
    return (parameters.array() >= bounds.lowest).all() && (parameters.array() <= bounds.highest).all();
}

struct Fit {
    ground::LayeredEarth found;
    InversionResult result;
};

}  // namespace

double bayesian_information_criterion(double misfit_rms, int data_count, int parameter_count) {
    return data_count * misfit_rms * misfit_rms + parameter_count * std::log(data_count);
}

LayerChoice choose_layers(const InversionData& data, const ground::LayeredEarth& smooth,
                          const std::function<Forward(const ground::LayeredEarth& start)>& forward_over,
                          int layers_max, const FewLayerOptions& options) {
    const auto unknowns = Unknowns::resistivities_and_thicknesses;
    const auto data_count = static_cast<int>(data.value.size());
    check_range(data_count, "data.size", at_least(2));
    const auto fit_from = [&](const ground::LayeredEarth& start) {
        InversionResult result =
            invert_few(data, forward_over(start), parameters_of(start, unknowns), options);
        ground::LayeredEarth found = earth_with(start, unknowns, result.parameters);
        return Fit{std::move(found), std::move(result)};
    };
    std::vector<LayerTrial> trials;
    std::optional<Fit> best, previous;
    double least = 0;
    for (int layers = 1; layers <= layers_max && 2 * layers - 1 < data_count; ++layers) {
        Fit fit = fit_from(few_layers_of(smooth, layers));
        // A layer more that fits worse has been caught on the way: from the ground with one less it cannot be.
        if (previous && fit.result.misfit_rms > previous->result.misfit_rms)
            for (std::size_t cut = 0; cut < previous->found.size(); ++cut) {
                const ground::LayeredEarth start = with_layer_cut(previous->found, cut);
                if (!inside(parameters_of(start, unknowns), options.bounds)) continue;  // too thin to cut
                Fit other = fit_from(start);
                if (other.result.misfit_rms < fit.result.misfit_rms) fit = std::move(other);
            }
        const double criterion =
            bayesian_information_criterion(fit.result.misfit_rms, data_count, 2 * layers - 1);
        trials.push_back({layers, fit.result.misfit_rms, criterion});
        if (!best || criterion < least) {
            least = criterion;
            best = fit;
        }
        previous = std::move(fit);
    }
    return {.trials = std::move(trials), .found = std::move(best->found), .result = std::move(best->result)};
}

}  // namespace ampturn::model::inversion
