#include "scheduler/setup/transmitter_of_plan.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "model/base/check_range.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/plan/materials.hpp"
#include "scheduler/setup/refused_value.hpp"

namespace ampturn::setup {
namespace {

model::loop::LoopDesign loop_design_of(const plan::Loop& loop) {
    model::loop::Wire wire = model::loop::wire_of_area(loop.wire_area_mm2 * 1e-6);
    wire.strands = loop.wire_strands;
    if (loop.conductor == plan::Conductor::aluminium) {
        wire.resistivity_20c_ohm_m = model::loop::aluminium_resistivity_20c_ohm_m;
        wire.alpha20_per_k = model::loop::aluminium_alpha20_per_k;
    }
    std::vector<int> taps = loop.taps;
    taps.push_back(loop.turns);
    std::sort(taps.begin(), taps.end());
    taps.erase(std::unique(taps.begin(), taps.end()), taps.end());
    return {.outline = plan::outline_of(loop),
            .wire = wire,
            .pitch_m = loop.turn_pitch_m,
            .taps = std::move(taps),
            .lead_resistance_ohm =
                loop.lead_resistance_ohm + 2 * loop.lead_length_m * wire.resistance_dc_ohm_per_m(20),
            .centre_height_m = loop.centre_height_m,
            .normal_azimuth_deg = loop.azimuth_deg,
            .tilt_deg = loop.tilt_deg};
}

model::bridge::CurrentControl control_of(plan::CurrentLimit limit) {
    switch (limit) {
        case plan::CurrentLimit::duty:
            return model::bridge::CurrentControl::duty;
        case plan::CurrentLimit::latched:
            return model::bridge::CurrentControl::latched;
        case plan::CurrentLimit::clamp:
            return model::bridge::CurrentControl::clamp;
    }
    throw std::logic_error("current limit unknown");
}

model::transmitter::Chemistry chemistry_of(plan::Chemistry chemistry) {
    switch (chemistry) {
        case plan::Chemistry::lead_acid_flooded:
            return model::transmitter::Chemistry::lead_flooded;
        case plan::Chemistry::agm:
            return model::transmitter::Chemistry::lead_agm;
        case plan::Chemistry::lifepo4:
            return model::transmitter::Chemistry::lifepo4;
    }
    throw std::logic_error("chemistry unknown");
}

/// Share of the rated capacity that a new battery gives in one hour; common practice, no source.
double one_hour_fraction_of(plan::Chemistry chemistry) {
    switch (chemistry) {
        case plan::Chemistry::lead_acid_flooded:
            return 0.5;
        case plan::Chemistry::agm:
            return 0.6;
        case plan::Chemistry::lifepo4:
            return 0.95;
    }
    throw std::logic_error("chemistry unknown");
}

/// Wells that give the rated capacity in the rated hours, and what is said of one hour.
void set_kinetics(const plan::Battery& battery, model::transmitter::BatteryBlock& block) {
    const double c = battery.kinetic_c.value_or(block.available_fraction);
    if (battery.kinetic_k_per_h || battery.rated_hours <= 1) {
        // Rated for an hour or less there is no second point.
        block.available_fraction = c;
        block.rate_per_h = battery.kinetic_k_per_h.value_or(block.rate_per_h);
        block.capacity_25c_ah = model::transmitter::total_charge_ah(c, block.rate_per_h, battery.capacity_ah,
                                                                    battery.rated_hours);
        return;
    }
    const model::transmitter::KineticFit fit = model::transmitter::kinetic_fit(
        {.rated_ah = battery.capacity_ah,
         .rated_hours = battery.rated_hours,
         .one_hour_fraction = battery.one_hour_fraction.value_or(one_hour_fraction_of(battery.chemistry))},
        c);
    block.available_fraction = fit.available_fraction;
    block.rate_per_h = fit.rate_per_h;
    block.capacity_25c_ah = fit.capacity_ah;
}

model::transmitter::BatteryBlock block_of(const plan::Battery& battery, int set_index) {
    model::transmitter::BatteryBlock block = model::transmitter::typical_block(
        chemistry_of(battery.chemistry), battery.cells() * plan::nominal_cell_v(battery.chemistry),
        battery.capacity_ah);
    block.cells = battery.cells();
    set_kinetics(battery, block);
    if (battery.cell_resistance_ohm) block.r25_ohm_per_cell = *battery.cell_resistance_ohm;
    if (!battery.ocv_state_of_charge.empty()) {
        block.ocv_soc = battery.ocv_state_of_charge;
        block.ocv_v_per_cell = battery.ocv_cell_v;
        block.knee_v_per_cell = 0;  // the table has its own end
    }
    block.cutoff_v_per_cell = battery.cut_off_v / (battery.cells() * battery.in_series);
    block.age_capacity_fraction = battery.health_of(set_index);
    block.age_resistance_factor = 1 / battery.health_of(set_index);
    return block;
}

}  // namespace

double usual_cut_off_cell_v(plan::Chemistry chemistry) {
    return model::transmitter::typical_block(chemistry_of(chemistry), plan::nominal_cell_v(chemistry), 1)
        .cutoff_v_per_cell;
}

namespace {

/// Heat capacity of a loop's metal: 385 J/(kg K) of copper (tests/reference/facts), 897 of aluminium (from memory).
double conductor_heat_j_per_k(const plan::Loop& loop, const model::loop::LoopDesign& design) {
    const double joules_per_kg_k = loop.conductor == plan::Conductor::copper ? 385 : 897;
    return joules_per_kg_k * plan::density_kg_per_m3(loop.conductor) * loop.wire_area_mm2 * 1e-6 *
           loop.turns * design.outline.perimeter_m();
}

/// Of loop B, where loop A stands as in its table: at the site whose loops are farthest off right angles, for one
/// transmitter stands at all of them and the most coupled place decides what it must bear.
double most_coupled_azimuth_b_deg(const plan::Plan& plan) {
    double out = plan.loop_b.azimuth_deg, most = -1;
    for (std::size_t i = 0; i < plan.sites.size(); ++i) {
        const int site = static_cast<int>(i);
        const double between_deg = plan.loop_azimuth_deg(model::loop::LoopSelection::b, site) -
                                   plan.loop_azimuth_deg(model::loop::LoopSelection::a, site);
        const double coupled = std::abs(std::cos(between_deg * std::numbers::pi / 180));
        if (coupled > most + 1e-12) {
            most = coupled;
            out = plan.loop_a.azimuth_deg + between_deg;
        }
    }
    return out;
}

/// Runs what the model may refuse of one of the loops.
template <class Work>
auto of_loop(const plan::Plan& plan, model::loop::LoopSelection which, Work work) {
    try {
        return work(plan.loop(which));
    } catch (const model::RangeError& refused) {
        throw refused_value(plan,
                            refused.within(which == model::loop::LoopSelection::a ? "loop_a" : "loop_b"));
    }
}

}  // namespace

model::transmitter::TransmitterDesign transmitter_design_of(const plan::Plan& plan) {
    model::transmitter::TransmitterDesign design;
    design.loop_a = of_loop(plan, model::loop::LoopSelection::a, loop_design_of);
    design.loop_b = of_loop(plan, model::loop::LoopSelection::b, loop_design_of);
    design.loop_b->normal_azimuth_deg = most_coupled_azimuth_b_deg(plan);
    const plan::Driver& driver = plan.driver;

    const double inductance_h = of_loop(plan, model::loop::LoopSelection::a, [&](const plan::Loop& loop) {
        return model::loop::make_tap(design.loop_a, loop.turns).inductance_dc_h;
    });
    const plan::CapacitorBank& bank = driver.capacitors;
    for (std::size_t i = 0; i < bank.capacitance_f.size(); ++i) {
        const double capacitance_f = bank.capacitance_f[i];
        design.capacitors.push_back(
            {.capacitance_f = capacitance_f,
             .tolerance = bank.tolerance_fraction,
             .rated_peak_v = bank.rated_v_peak.size() == 1 ? bank.rated_v_peak[0] : bank.rated_v_peak.at(i),
             .bleed_ohm = bank.bleed_resistor_ohm.value_or(model::transmitter::no_limit),
             .esr_ohm = bank.loss_tangent * std::sqrt(inductance_h / capacitance_f)});
    }

    design.driver = {.rds_on_25c_ohm = driver.rds_on_ohm,
                     .rds_on_beta_per_k = driver.rds_on_temp_per_k,
                     .overlap_s = driver.overlap_time_s,
                     .dead_time_s = driver.dead_time_s,
                     .quiescent_w = driver.quiescent_w,
                     .gate_energy_j = driver.gate_energy_j,
                     .duty = driver.duty,
                     .control = control_of(driver.current_limit),
                     .idle_loop_closed = driver.idle_loop == plan::IdleLoop::closed};
    if (driver.supply == plan::Supply::dc_dc)
        design.supply = {.converter = true, .bus_v = driver.bus_v, .efficiency = driver.dc_dc_efficiency};

    design.battery = {.block = block_of(plan.battery, 0),
                      .series = plan.battery.in_series,
                      .parallel = plan.battery.in_parallel};

    const plan::Thermal& thermal = plan.thermal;
    design.thermal = {.winding_j_per_k = thermal.winding_heat_j_per_k.value_or(
                          std::min(conductor_heat_j_per_k(plan.loop_a, design.loop_a),
                                   conductor_heat_j_per_k(plan.loop_b, *design.loop_b))),
                      .electronics_j_per_k = thermal.electronics_heat_j_per_k,
                      .winding_ambient_k_per_w = thermal.winding_to_air_k_per_w,
                      .electronics_ambient_k_per_w = thermal.electronics_to_air_k_per_w,
                      .winding_electronics_k_per_w =
                          thermal.winding_to_electronics_k_per_w.value_or(model::transmitter::no_link)};

    const bool limit_is_rms = driver.current_limit_quantity == plan::LimitQuantity::rms;
    design.limits = {.rms_a = limit_is_rms ? driver.current_limit_a : model::transmitter::no_limit,
                     .peak_a = limit_is_rms ? model::transmitter::no_limit : driver.current_limit_a,
                     .bus_power_w = driver.dc_dc_limit_w.value_or(model::transmitter::no_limit),
                     .winding_c = thermal.winding_limit_c,
                     .electronics_c = thermal.electronics_limit_c,
                     .restart_winding_c = thermal.winding_limit_c - thermal.restart_margin_k,
                     .restart_electronics_c = thermal.electronics_limit_c - thermal.restart_margin_k};
    design.idle_w = driver.quiescent_w;
    return design;
}

model::transmitter::Transmitter transmitter_of(const plan::Plan& plan) {
    try {
        return model::transmitter::prepare(transmitter_design_of(plan));
    } catch (const model::RangeError& refused) {
        throw refused_value(plan, refused);
    }
}

model::transmitter::Transmitter with_battery_set(model::transmitter::Transmitter transmitter,
                                                 const plan::Plan& plan, int set_index) {
    transmitter.design.battery.block = block_of(plan.battery, set_index);
    return transmitter;
}

}  // namespace ampturn::setup
