#include "scheduler/setup/earth_of_plan.hpp"

#include <utility>

#include "model/base/check_range.hpp"
#include "scheduler/setup/refused_value.hpp"

namespace ampturn::plan {

namespace {

model::LayeredEarth layers_of(const Ground& ground) {
    std::vector<model::Layer> layers;
    for (std::size_t i = 0; i < ground.resistivity_ohm_m.size(); ++i) {
        model::Layer layer{.resistivity_ohm_m = ground.resistivity_ohm_m[i]};
        if (i < ground.thickness_m.size()) layer.thickness_m = ground.thickness_m[i];
        if (i < ground.relative_permittivity.size())
            layer.relative_permittivity = ground.relative_permittivity[i];
        if (i < ground.relative_permeability.size())
            layer.relative_permeability = ground.relative_permeability[i];
        if (i < ground.anisotropy.size())
            layer.vertical_resistivity_ratio = ground.anisotropy[i] * ground.anisotropy[i];
        if (i < ground.cole_cole.size() && ground.cole_cole[i].chargeability > 0)
            layer.cole_cole = model::ColeCole{.chargeability = ground.cole_cole[i].chargeability,
                                              .time_constant_s = ground.cole_cole[i].time_constant_s,
                                              .exponent = ground.cole_cole[i].exponent};
        layers.push_back(layer);
    }
    return model::LayeredEarth(std::move(layers));
}

}  // namespace

model::LayeredEarth earth_of(const Plan& plan) { return earth_of(plan, plan.earth, "earth"); }

model::LayeredEarth earth_of(const Plan& plan, const Ground& ground, const std::string& key) {
    try {
        return layers_of(ground);
    } catch (const model::RangeError& refused) {
        throw refused_ground(plan, ground, key, refused);
    }
}

}  // namespace ampturn::plan
