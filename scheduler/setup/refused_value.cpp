#include "scheduler/setup/refused_value.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <iterator>
#include <string_view>

namespace ampturn::setup {
namespace {

/// From a number of the model to the plan's.
using Conversion = double (*)(double);

struct KeyOfName {
    std::string_view name;              // the model's
    std::string_view key;               // the plan's, [] where the number of the entry belongs
    Conversion to_plan = nullptr;       // where the units differ
    bool made_of_several_keys = false;  // then the model's name is shown beside the value
};

double square_root(double x) { return std::sqrt(x); }
double square_millimetres(double area_m2) { return 1e6 * area_m2; }

constexpr bool several = true;

constexpr KeyOfName ground_keys[] = {
    {"layers", "resistivity_ohm_m"},
    {"layer.resistivity_ohm_m", "resistivity_ohm_m[]"},
    {"layer.thickness_m", "thickness_m[]"},
    {"layer.relative_permittivity", "relative_permittivity[]"},
    {"layer.relative_permeability", "relative_permeability[]"},
    {"layer.vertical_resistivity_ratio", "anisotropy[]", square_root},
};

constexpr KeyOfName loop_keys[] = {
    {"turns", "turns"},
    {"pitch_m", "turn_pitch_m"},
    {"bundle_radius_m", "turn_pitch_m", nullptr, several},
    {"wire.area_m2", "wire_area_mm2", square_millimetres},
    {"wire.strands", "wire_strands"},
    {"lead_resistance_ohm", "lead_resistance_ohm", nullptr, several},
    {"vertices", "vertices_m[]"},
    {"vertex.off_plane_m", "vertices_m[]", nullptr, several},
    {"loop.vertex.z_m", "centre_height_m", nullptr, several},
};

constexpr KeyOfName transmitter_keys[] = {
    {"battery.series", "battery.in_series"},
    {"battery.parallel", "battery.in_parallel"},
    {"battery.cells", "battery.cells_series"},
    {"battery.capacity_25c_ah", "battery.capacity_ah"},
    {"battery.available_fraction", "battery.kinetic_c"},
    {"battery.rate_per_h", "battery.kinetic_k_per_h"},
    {"battery.ocv_soc", "battery.ocv_state_of_charge[]"},
    {"battery.ocv_v_per_cell", "battery.ocv_cell_v[]"},
    {"battery.r25_ohm_per_cell", "battery.cell_resistance_ohm"},
    {"battery.cutoff_v_per_cell", "battery.cut_off_v", nullptr, several},
    {"battery.age_capacity_fraction", "battery.state_of_health"},
    {"driver.rds_on_25c_ohm", "driver.rds_on_ohm"},
    {"driver.rds_on_beta_per_k", "driver.rds_on_temp_per_k"},
    {"driver.overlap_s", "driver.overlap_time_s"},
    {"driver.dead_time_s", "driver.dead_time_s"},
    {"driver.quiescent_w", "driver.quiescent_w"},
    {"driver.gate_energy_j", "driver.gate_energy_j"},
    {"driver.duty", "driver.duty"},
    {"capacitors.size", "driver.capacitors.capacitance_f", nullptr, several},
    {"capacitors.capacitance_f", "driver.capacitors.capacitance_f[]"},
    {"capacitors.tolerance", "driver.capacitors.tolerance_fraction"},
    {"capacitors.rated_peak_v", "driver.capacitors.rated_v_peak[]"},
    {"capacitors.bleed_ohm", "driver.capacitors.bleed_resistor_ohm"},
    {"capacitors.esr_ohm", "driver.capacitors.loss_tangent", nullptr, several},
    {"supply.bus_v", "driver.bus_v"},
    {"supply.efficiency", "driver.dc_dc_efficiency"},
    {"thermal.winding_j_per_k", "thermal.winding_heat_j_per_k"},
    {"thermal.electronics_j_per_k", "thermal.electronics_heat_j_per_k"},
    {"thermal.winding_ambient_k_per_w", "thermal.winding_to_air_k_per_w"},
    {"thermal.electronics_ambient_k_per_w", "thermal.electronics_to_air_k_per_w"},
    {"thermal.winding_electronics_k_per_w", "thermal.winding_to_electronics_k_per_w"},
    {"limits.rms_a", "driver.current_limit_a"},
    {"limits.peak_a", "driver.current_limit_a"},
    {"limits.bus_power_w", "driver.dc_dc_limit_w"},
    {"limits.restart_winding_c", "thermal.restart_margin_k", nullptr, several},
    {"limits.restart_electronics_c", "thermal.restart_margin_k", nullptr, several},
    {"receiver", "station[]"},
    {"receiver.offset_m", "station[]", nullptr, several},
    {"receiver.distance_to_wire_m", "station[]", nullptr, several},
};

template <std::size_t count>
const KeyOfName* find(const KeyOfName (&keys)[count], std::string_view name) {
    for (const KeyOfName& row : keys)
        if (row.name == name) return &row;
    return nullptr;
}

base::InputError error_at(const plan::Plan& plan, const std::string& key, Conversion to_plan, bool show_name,
                          const model::RangeError& refused) {
    const std::string name = show_name ? refused.name() + ' ' : std::string();
    if (!to_plan || std::isnan(refused.value()))
        return plan.error(key, name + refused.found(), refused.allowed());
    model::Range range = refused.range();
    range.lowest = to_plan(range.lowest);
    range.highest = to_plan(range.highest);
    const model::RangeError in_plan(refused.name(), to_plan(refused.value()), range, refused.index(),
                                    refused.reason());
    return plan.error(key, name + in_plan.found(), in_plan.allowed());
}

base::InputError error_at(const plan::Plan& plan, const std::string& table, const KeyOfName& row,
                          const model::RangeError& refused) {
    std::string key = table + std::string(row.key);
    if (key.ends_with("[]")) {
        key.resize(key.size() - 2);
        if (refused.index()) key += fmt::format("[{}]", *refused.index() + 1);
    }
    return error_at(plan, key, row.to_plan, row.made_of_several_keys, refused);
}

/// The rest of the name when it starts with the prefix.
std::optional<std::string_view> after(std::string_view name, std::string_view prefix) {
    if (!name.starts_with(prefix)) return std::nullopt;
    return name.substr(prefix.size());
}

}  // namespace

base::InputError refused_value(const plan::Plan& plan, const model::RangeError& refused) {
    if (refused.name().starts_with("layer")) return refused_ground(plan, plan.earth, "earth", refused);
    for (const auto& [prefix, table] : {std::pair{"loop_a.", "loop.a"}, std::pair{"loop_b.", "loop.b"}})
        if (const auto name = after(refused.name(), prefix)) {
            if (const KeyOfName* row = find(loop_keys, *name))
                return error_at(plan, table + std::string("."), *row, refused);
            return error_at(plan, table, nullptr, true, refused);
        }
    if (const KeyOfName* row = find(transmitter_keys, refused.name()))
        return error_at(plan, "", *row, refused);
    if (refused.name() == "frequency_hz")
        for (const plan::Step& step : plan.sweep.steps)
            if (step.frequency_hz == refused.value()) return refused_step(plan, step, refused);
    return error_at(plan, "", nullptr, true, refused);
}

base::InputError refused_ground(const plan::Plan& plan, const plan::Ground& ground, const std::string& key,
                                const model::RangeError& refused) {
    if (const auto name = after(refused.name(), "layer.cole_cole."))
        return error_at(plan, ground.cole_cole.at(refused.index().value()).key + '.' + std::string(*name),
                        nullptr, false, refused);
    if (const KeyOfName* row = find(ground_keys, refused.name()))
        return error_at(plan, key + '.', *row, refused);
    return error_at(plan, key, nullptr, true, refused);
}

base::InputError refused_step(const plan::Plan& plan, const plan::Step& step,
                              const model::RangeError& refused) {
    return error_at(plan, plan.key_of(step, refused.name()), nullptr, false, refused);
}

}  // namespace ampturn::setup
