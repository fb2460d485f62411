#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "model/ground/earth.hpp"

namespace ampturn::model::ground {

/// Layers of these resistivities; the last, without a thickness, goes on for ever.
inline LayeredEarth layered(const std::vector<double>& resistivity_ohm_m,
                            const std::vector<double>& thickness_m, double relative_permittivity = 1) {
    std::vector<Layer> layers(resistivity_ohm_m.size());
    for (std::size_t i = 0; i < layers.size(); ++i) {
        layers[i].resistivity_ohm_m = resistivity_ohm_m[i];
        layers[i].relative_permittivity = relative_permittivity;
        if (i < thickness_m.size()) layers[i].thickness_m = thickness_m[i];
    }
    return LayeredEarth(std::move(layers));
}

}  // namespace ampturn::model::ground
