#include "scheduler/setup/earth_of_plan.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <utility>

#include "model/base/check_range.hpp"
#include "scheduler/setup/refused_value.hpp"

namespace ampturn::setup {

namespace {

model::ground::LayeredEarth layers_of(const plan::Ground& ground) {
    std::vector<model::ground::Layer> layers;
    for (std::size_t i = 0; i < ground.resistivity_ohm_m.size(); ++i) {
        model::ground::Layer layer{.resistivity_ohm_m = ground.resistivity_ohm_m[i]};
        if (i < ground.thickness_m.size()) layer.thickness_m = ground.thickness_m[i];
        if (i < ground.relative_permittivity.size())
            layer.relative_permittivity = ground.relative_permittivity[i];
        if (i < ground.relative_permeability.size())
            layer.relative_permeability = ground.relative_permeability[i];
        if (i < ground.anisotropy.size())
            layer.vertical_resistivity_ratio = ground.anisotropy[i] * ground.anisotropy[i];
        if (i < ground.cole_cole.size() && ground.cole_cole[i].chargeability > 0)
            layer.cole_cole = model::ground::ColeCole{.chargeability = ground.cole_cole[i].chargeability,
                                                      .time_constant_s = ground.cole_cole[i].time_constant_s,
                                                      .exponent = ground.cole_cole[i].exponent};
        layers.push_back(layer);
    }
    return model::ground::LayeredEarth(std::move(layers));
}

}  // namespace

model::ground::LayeredEarth earth_of(const plan::Plan& plan) { return earth_of(plan, plan.earth, "earth"); }

std::vector<model::ground::LayeredEarth> grounds_of(const plan::Plan& plan) {
    std::vector<model::ground::LayeredEarth> out;
    for (std::size_t i = 0; i < plan.grounds.size(); ++i)
        out.push_back(earth_of(plan, plan.grounds[i].ground, fmt::format("ground[{}]", i + 1)));
    return out;
}

model::ground::LayeredEarth earth_of(const plan::Plan& plan, const plan::Ground& ground,
                                     const std::string& key) {
    try {
        return layers_of(ground);
    } catch (const model::RangeError& refused) {
        throw refused_ground(plan, ground, key, refused);
    }
}

}  // namespace ampturn::setup
