#include "model/ground/earth.hpp"

#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model::ground {

LayeredEarth::LayeredEarth(std::vector<Layer> layers) : layers_(std::move(layers)) {
    if (layers_.empty() || layers_.size() > 64)
        throw RangeError("layers", static_cast<double>(layers_.size()), {.lowest = 1, .highest = 64});
    for (std::size_t i = 0; i < layers_.size(); ++i) {
        const Layer& layer = layers_[i];
        check_range(layer.resistivity_ohm_m, "layer.resistivity_ohm_m", 1e-3, 1e6, i);
        check_range(layer.relative_permittivity, "layer.relative_permittivity", 1, 100, i);
        check_range(layer.relative_permeability, "layer.relative_permeability", 0.9, 100, i);
        check_range(layer.vertical_resistivity_ratio, "layer.vertical_resistivity_ratio", 0.01, 100, i);
        if (i + 1 < layers_.size())
            check_range(layer.thickness_m, "layer.thickness_m", 1e-3, 1e5, i);
        else if (!(layer.thickness_m == std::numeric_limits<double>::infinity()))
            throw RangeError("layer.thickness_m", layer.thickness_m,
                             at_least(std::numeric_limits<double>::infinity()), i,
                             "the last layer has no lower end");
        if (layer.cole_cole) {
            check_range(layer.cole_cole->chargeability, "layer.cole_cole.chargeability", 0, 0.999, i);
            check_range(layer.cole_cole->time_constant_s, "layer.cole_cole.time_constant_s", 1e-9, 1e6, i);
            check_range(layer.cole_cole->exponent, "layer.cole_cole.exponent", 0.01, 1, i);
        }
    }
}

LayeredEarth::Admittivity LayeredEarth::admittivity(std::size_t index, double omega_rad_per_s,
                                                    bool displacement) const {
    const Layer& layer = layers_[index];
    std::complex<double> sigma = 1 / layer.resistivity_ohm_m;
    if (layer.cole_cole) {
        const ColeCole& p = *layer.cole_cole;
        const std::complex<double> relaxation =
            std::polar(std::pow(omega_rad_per_s * p.time_constant_s, p.exponent), p.exponent * pi / 2);
        sigma /= 1.0 - p.chargeability * (1.0 - 1.0 / (1.0 + relaxation));
    }
    const std::complex<double> charging(
        0, displacement ? omega_rad_per_s * layer.relative_permittivity * eps0_f_per_m : 0);
    return {.horizontal_s_per_m = sigma + charging,
            .vertical_s_per_m = sigma / layer.vertical_resistivity_ratio + charging};
}

}  // namespace ampturn::model::ground
