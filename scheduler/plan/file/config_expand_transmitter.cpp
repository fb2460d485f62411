#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <exception>
#include <vector>

#include "model/loop/loop.hpp"
#include "scheduler/plan/file/config_expand.hpp"
#include "scheduler/plan/loop_outline.hpp"

namespace ampturn::plan::file {

namespace {

void fill(std::vector<double>& list, std::size_t layer_count, double value, const std::string& key,
          Refusals& refusals) {
    if (list.empty())
        list.assign(layer_count, value);
    else if (list.size() != layer_count)
        refusals.add(key, fmt::format("{} entries", list.size()),
                     fmt::format("one for each of the {} layers", layer_count));
}

}  // namespace

Ground expand_ground(const GroundInput& input, const std::string& key, Refusals& refusals) {
    Ground ground{.resistivity_ohm_m = input.resistivity_ohm_m,
                  .thickness_m = input.thickness_m,
                  .relative_permittivity = input.relative_permittivity,
                  .relative_permeability = input.relative_permeability,
                  .anisotropy = input.anisotropy,
                  .cole_cole = {}};
    const std::size_t layer_count = ground.resistivity_ohm_m.size();
    if (ground.thickness_m.size() + 1 != layer_count)
        refusals.add(
            key + ".thickness_m", fmt::format("{} entries", ground.thickness_m.size()),
            fmt::format("{}: one fewer than the {} of resistivity_ohm_m", layer_count - 1, layer_count));
    fill(ground.relative_permittivity, layer_count, 10, key + ".relative_permittivity", refusals);
    fill(ground.relative_permeability, layer_count, 1, key + ".relative_permeability", refusals);
    fill(ground.anisotropy, layer_count, 1, key + ".anisotropy", refusals);
    if (!input.polarisable.empty()) ground.cole_cole.assign(layer_count, ColeCole{});
    for (std::size_t i = 0; i < input.polarisable.size(); ++i) {
        const PolarisableLayer& layer = input.polarisable[i];
        const std::string table = fmt::format("{}.polarisable[{}]", key, i + 1), layer_key = table + ".layer";
        const auto index = static_cast<std::size_t>(layer.layer) - 1;
        if (index >= layer_count)
            refusals.add(layer_key, fmt::format("{}", layer.layer), fmt::format("1 to {}", layer_count));
        else if (ground.cole_cole[index].exponent > 0)
            refusals.add(layer_key, fmt::format("{} again", layer.layer), "each layer once");
        else
            ground.cole_cole[index] = {layer.chargeability, layer.time_constant_s, layer.exponent, table};
    }
    return ground;
}

namespace {

struct ShapeKey {
    const char* name;
    bool given;
    bool wanted;
};

void check_shape_keys(const Loop& loop, const std::string& key, Refusals& refusals) {
    using enum LoopShape;
    const LoopShape shape = loop.shape;
    const bool wide = shape == rectangle || shape == rhombus || shape == triangle;
    const ShapeKey keys[] = {
        {"side_m", loop.side_m > 0, shape == square || shape == regular_polygon},
        {"width_m", loop.width_m > 0, wide},
        {"height_m", loop.height_m > 0, wide},
        {"diameter_m", loop.diameter_m > 0, shape == circle},
        {"corners", loop.corners > 0, shape == regular_polygon},
        {"vertices_m", !loop.vertices_m.empty(), shape == polygon},
    };
    for (const ShapeKey& shape_key : keys) {
        if (shape_key.wanted && !shape_key.given)
            refusals.add(key + "." + shape_key.name, "nothing", "a value: this shape needs it");
        if (!shape_key.wanted && shape_key.given)
            refusals.add(key + "." + shape_key.name, "a value", "nothing: this shape does not use it");
    }
}

void check_polygon(const Loop& loop, const std::string& key, Refusals& refusals) {
    std::vector<model::loop::LoopPoint> vertices;
    for (const auto& [right_m, up_m] : loop.vertices_m) vertices.push_back({right_m, up_m, 0});
    if (model::loop::side_that_meets_another(vertices, {0, 0, 1})) {
        refusals.add(key + ".vertices_m", "sides that touch or cross", "a plain polygon");
        return;
    }
    try {
        if (outline_of(loop).area_m2() > 1e-4) return;
    } catch (const std::exception&) {
        // Flatter than the model takes: without area, too.
    }
    refusals.add(key + ".vertices_m", "a polygon without area", "an area of more than 1e-4 m2");
}

}  // namespace

Loop expand_loop(Loop loop, const std::string& key, Refusals& refusals) {
    const std::size_t before = refusals.count();
    check_shape_keys(loop, key, refusals);
    if (loop.wire_awg && loop.wire_area_mm2 > 0)
        refusals.add(key + ".wire_area_mm2", "wire_area_mm2 and wire_awg", "one of the two");
    else if (!loop.wire_awg && loop.wire_area_mm2 == 0)
        refusals.add(key + ".wire_area_mm2", "nothing", "wire_area_mm2 or wire_awg");
    if (loop.wire_awg) loop.wire_area_mm2 = 1e6 * model::loop::wire_of_gauge(*loop.wire_awg).area_m2;
    for (std::size_t i = 0; i < loop.taps.size(); ++i) {
        const int least = i == 0 ? 1 : loop.taps[i - 1] + 1;
        if (loop.taps[i] < least || loop.taps[i] >= loop.turns)
            refusals.add(fmt::format("{}.taps[{}]", key, i + 1), fmt::format("{}", loop.taps[i]),
                         fmt::format("rising, each less than the {} turns wound", loop.turns));
    }
    const double diameter_m = 2e-3 * std::sqrt(loop.wire_area_mm2 / std::numbers::pi);
    if (loop.turns > 1 && loop.turn_pitch_m < diameter_m)
        refusals.add(key + ".turn_pitch_m", fmt::format("{}", loop.turn_pitch_m),
                     fmt::format("at least the wire's diameter, {:.4g} m", diameter_m));
    if (refusals.count() != before) return loop;
    if (loop.shape == LoopShape::polygon) check_polygon(loop, key, refusals);
    if (refusals.count() != before) return loop;
    const double drop_m = loop_drop_m(loop);
    if (loop.centre_height_m < drop_m - 1e-9 * drop_m)  // a loop that just touches the ground is fine
        refusals.add(key + ".centre_height_m", fmt::format("{}", loop.centre_height_m),
                     fmt::format("at least {:.4g} m, so that no part lies below ground", drop_m));
    return loop;
}

}  // namespace ampturn::plan::file
