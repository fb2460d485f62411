#include "model/ground/earth.hpp"

#include <cmath>
#include <stdexcept>
#include <string>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model {

LayeredEarth::LayeredEarth(std::vector<Layer> layers) : layers_(std::move(layers)) {
    if (layers_.empty() || layers_.size() > 64)
        throw std::invalid_argument(std::to_string(layers_.size()) + " layers: allowed 1 to 64");
    for (std::size_t i = 0; i < layers_.size(); ++i) {
        const Layer& layer = layers_[i];
        const std::string where = "layer " + std::to_string(i + 1) + ": ";
        check_range(layer.resistivity_ohm_m, where + "resistivity_ohm_m", 1e-3, 1e6);
        check_range(layer.relative_permittivity, where + "relative_permittivity", 1, 100);
        check_range(layer.relative_permeability, where + "relative_permeability", 0.9, 100);
        check_range(layer.vertical_resistivity_ratio, where + "vertical_resistivity_ratio", 0.01, 100);
        if (i + 1 < layers_.size())
            check_range(layer.thickness_m, where + "thickness_m", 1e-3, 1e5);
        else if (!(layer.thickness_m == std::numeric_limits<double>::infinity()))
            throw std::invalid_argument(where + "thickness_m: the last layer has none, it is infinite");
        if (layer.cole_cole) {
            check_range(layer.cole_cole->chargeability, where + "chargeability", 0, 0.999);
            check_range(layer.cole_cole->time_constant_s, where + "time_constant_s", 1e-9, 1e6);
            check_range(layer.cole_cole->exponent, where + "exponent", 0.01, 1);
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
            std::pow(std::complex<double>(0, omega_rad_per_s * p.time_constant_s), p.exponent);
        sigma /= 1.0 - p.chargeability * (1.0 - 1.0 / (1.0 + relaxation));
    }
    const std::complex<double> charging(
        0, displacement ? omega_rad_per_s * layer.relative_permittivity * eps0_f_per_m : 0);
    return {.horizontal_s_per_m = sigma + charging,
            .vertical_s_per_m = sigma / layer.vertical_resistivity_ratio + charging};
}

}  // namespace ampturn::model
