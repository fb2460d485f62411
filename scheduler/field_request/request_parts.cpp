#include "scheduler/field_request/request_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <span>
#include <string_view>
#include <vector>

namespace ampturn::field_request {

namespace {

constexpr double default_tolerance_rel = 1e-7;

/// Where a case holds what the engine knows under a name of its own; [] takes the number of the entry.
struct PathOfName {
    std::string_view name, path;
    bool made_of_several = false;  // then the engine's name is shown beside the value
};

constexpr PathOfName paths[] = {
    {"layers", "resistivity_ohm_m"},
    {"layer.resistivity_ohm_m", "resistivity_ohm_m[]"},
    {"layer.thickness_m", "thickness_m[]"},
    {"layer.relative_permittivity", "relative_permittivity[]"},
    {"layer.relative_permeability", "relative_permeability[]"},
    {"layer.vertical_resistivity_ratio", "vertical_resistivity_ratio[]"},
    {"layer.cole_cole.chargeability", "cole_cole[].chargeability"},
    {"layer.cole_cole.time_constant_s", "cole_cole[].time_constant_s"},
    {"layer.cole_cole.exponent", "cole_cole[].exponent"},
    {"frequency_hz", "frequency_Hz"},
    {"dipole.height_m", "source_height_m"},
    {"dipole.moment_a_m2", "moment_A_m2[]"},
    {"loop.turns", "loop.turns"},
    {"loop.current_a", "loop.current_A"},
    {"loop.vertices", "loop.vertices_xyz_m"},
    {"loop.vertex.x_m", "loop.vertices_xyz_m[][0]"},
    {"loop.vertex.y_m", "loop.vertices_xyz_m[][1]"},
    {"loop.vertex.z_m", "loop.vertices_xyz_m[][2]"},
    {"loop.vertex.off_plane_m", "loop.vertices_xyz_m[]", true},
    {"receiver", "receiver"},
    {"receiver.offset_m", "receiver", true},
    {"receiver.distance_to_wire_m", "receiver", true},
    {"receiver.z_m", "receiver.z_m"},
};

}  // namespace

void complain_of(const model::RangeError& refused, const Node& node) {
    const auto known = std::find_if(std::begin(paths), std::end(paths),
                                    [&](const PathOfName& p) { return p.name == refused.name(); });
    if (known == std::end(paths)) node.complain(refused.name() + ' ' + refused.found(), refused.allowed());
    std::string path(known->path);
    if (const auto entry = path.find("[]"); entry != std::string::npos)
        path.replace(entry, 2, refused.index() ? fmt::format("[{}]", *refused.index()) : "");
    node.complain_below(path, (known->made_of_several ? refused.name() + ' ' : "") + refused.found(),
                        refused.allowed());
}

model::ground::LayeredEarth earth_of_node(const Node& node, GroundName name) {
    constexpr std::array keys{"resistivity_ohm_m",
                              "thickness_m",
                              "relative_permittivity",
                              "relative_permeability",
                              "vertical_resistivity_ratio",
                              "cole_cole",
                              "name"};
    node.only_keys(std::span(keys).first(name == GroundName::allowed ? keys.size() : keys.size() - 1));
    const std::vector<double> resistivity = node["resistivity_ohm_m"].numbers();
    const std::vector<double> thickness = node["thickness_m"].numbers();
    if (resistivity.empty()) node["resistivity_ohm_m"].complain("no layer", "1 to 64");
    if (thickness.size() + 1 != resistivity.size())
        node["thickness_m"].complain(
            fmt::format("{} thicknesses", thickness.size()),
            fmt::format("{}, one fewer than resistivities: the last layer is infinite",
                        resistivity.size() - 1));
    std::vector<model::ground::Layer> layers(resistivity.size());
    auto per_layer = [&](const char* key, auto set) {
        if (!node.has(key)) return;
        const Node list = node[key];
        if (list.list_size() != layers.size())
            list.complain(fmt::format("{} values", list.list_size()),
                          fmt::format("{}, one a layer", layers.size()));
        for (std::size_t i = 0; i < layers.size(); ++i) set(layers[i], list.at(i));
    };
    for (std::size_t i = 0; i < layers.size(); ++i) {
        layers[i].resistivity_ohm_m = resistivity[i];
        if (i < thickness.size()) layers[i].thickness_m = thickness[i];
    }
    per_layer("relative_permittivity",
              [](model::ground::Layer& l, const Node& n) { l.relative_permittivity = n.number(); });
    per_layer("relative_permeability",
              [](model::ground::Layer& l, const Node& n) { l.relative_permeability = n.number(); });
    per_layer("vertical_resistivity_ratio",
              [](model::ground::Layer& l, const Node& n) { l.vertical_resistivity_ratio = n.number(); });
    per_layer("cole_cole", [](model::ground::Layer& l, const Node& n) {
        if (n.json().is_null()) return;
        n.only_keys({"chargeability", "time_constant_s", "exponent"});
        l.cole_cole = {.chargeability = n["chargeability"].number(),
                       .time_constant_s = n["time_constant_s"].number(),
                       .exponent = n["exponent"].number()};
    });
    try {
        return model::ground::LayeredEarth(layers);
    } catch (const model::RangeError& refused) {
        complain_of(refused, node);
    }
}

model::ground::Wavenumbers wavenumbers_of(const Node& node) {
    if (node.json() == "full") return model::ground::Wavenumbers::full;
    if (node.json() == "quasi_static") return model::ground::Wavenumbers::quasi_static;
    node.complain(node.short_text(), "\"full\" or \"quasi_static\"");
}

model::fields::Source source_of(const Node& c) {
    if (c.has("loop")) {
        const Node loop = c["loop"];
        model::fields::Loop result{
            .vertices_xyz_m = {}, .turns = loop["turns"].number(), .current_a = loop["current_A"].number()};
        const Node vertices = loop["vertices_xyz_m"];
        for (std::size_t i = 0; i < vertices.list_size(); ++i)
            result.vertices_xyz_m.push_back(vertices.at(i).three_numbers());
        return result;
    }
    return model::fields::Dipole{.moment_a_m2 = c["moment_A_m2"].three_numbers(),
                                 .height_m = c["source_height_m"].number(),
                                 .x_m = c.number_or("x_m", 0),
                                 .y_m = c.number_or("y_m", 0)};
}

model::fields::FieldOptions options_of(const Node& node, const Node& root, model::ground::Wavenumbers waves) {
    model::fields::FieldOptions options{.wavenumbers = waves, .tolerance_rel = default_tolerance_rel};
    const auto given = [&](const char* key) { return node.has(key) ? node[key] : root[key]; };
    if (node.has("tolerance") || root.has("tolerance")) {
        const Node tolerance = given("tolerance");
        options.tolerance_rel = tolerance.number();
        if (!(options.tolerance_rel >= 1e-10 && options.tolerance_rel <= 1e-3))
            tolerance.complain(tolerance.short_text(), "1e-10 to 0.001");
    }
    if (node.has("integration") || root.has("integration")) {
        const Node integration = given("integration");
        if (integration.json() != "fast" && integration.json() != "reference")
            integration.complain(integration.short_text(), "\"fast\" or \"reference\"");
        options.reference = integration.json() == "reference";
    }
    return options;
}

}  // namespace ampturn::field_request
