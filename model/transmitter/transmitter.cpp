#include "model/transmitter/transmitter.hpp"

#include <string>

#include "model/base/check_range.hpp"

namespace ampturn::model::transmitter {

namespace {

constexpr Range inside_0_to_1{.lowest = 0, .highest = 1, .lowest_excluded = true, .highest_excluded = true};
constexpr Range above_0_to_1{.lowest = 0, .highest = 1, .lowest_excluded = true};

void check_tables(const BatteryBlock& b) {
    check_range(static_cast<double>(b.ocv_soc.size()), "battery.ocv_soc.size", at_least(2));
    if (b.ocv_soc.size() != b.ocv_v_per_cell.size())
        throw RangeError("battery.ocv_v_per_cell", std::to_string(b.ocv_v_per_cell.size()) + " entries",
                         "as many as states of charge, " + std::to_string(b.ocv_soc.size()));
    check_range(b.ocv_v_per_cell.front(), "battery.ocv_v_per_cell", more_than(0), 0);
    for (std::size_t i = 1; i < b.ocv_soc.size(); ++i) {
        check_range(b.ocv_soc[i], "battery.ocv_soc", more_than(b.ocv_soc[i - 1]), i, "they rise");
        check_range(b.ocv_v_per_cell[i], "battery.ocv_v_per_cell", at_least(b.ocv_v_per_cell[i - 1]), i,
                    "they do not fall");
    }
    if (b.capacity_temperature_c.size() != b.capacity_fraction.size())
        throw RangeError("battery.capacity_fraction", std::to_string(b.capacity_fraction.size()) + " entries",
                         "as many as temperatures, " + std::to_string(b.capacity_temperature_c.size()));
    for (std::size_t i = 0; i < b.capacity_fraction.size(); ++i) {
        check_range(b.capacity_fraction[i], "battery.capacity_fraction", more_than(0), i);
        if (i > 0)
            check_range(b.capacity_temperature_c[i], "battery.capacity_temperature_c",
                        more_than(b.capacity_temperature_c[i - 1]), i, "they rise");
    }
}

void check_battery(const BatteryBank& bank) {
    const BatteryBlock& b = bank.block;
    check_range(bank.series, "battery.series", 1, 100);
    check_range(bank.parallel, "battery.parallel", 1, 100);
    check_range(b.cells, "battery.cells", 1, 400);
    check_range(b.capacity_25c_ah, "battery.capacity_25c_ah", more_than(0));
    check_range(b.available_fraction, "battery.available_fraction", inside_0_to_1);
    check_range(b.rate_per_h, "battery.rate_per_h", more_than(0));
    check_tables(b);
    check_range(b.r25_ohm_per_cell, "battery.r25_ohm_per_cell", more_than(0));
    check_range(b.r_soc_coeff, "battery.r_soc_coeff", at_least(0));
    check_range(b.cutoff_v_per_cell, "battery.cutoff_v_per_cell", more_than(0));
    check_range(b.age_capacity_fraction, "battery.age_capacity_fraction",
                {.lowest = 0, .highest = 1.2, .lowest_excluded = true});
    check_range(b.age_resistance_factor, "battery.age_resistance_factor", more_than(0));
}

void check_driver(const TransmitterDesign& d) {
    check_range(d.driver.rds_on_25c_ohm, "driver.rds_on_25c_ohm", more_than(0));
    check_range(d.driver.rds_on_beta_per_k, "driver.rds_on_beta_per_k", at_least(0));
    check_range(d.driver.overlap_s, "driver.overlap_s", at_least(0));
    check_range(d.driver.dead_time_s, "driver.dead_time_s", at_least(0));
    check_range(d.driver.quiescent_w, "driver.quiescent_w", at_least(0));
    check_range(d.driver.gate_energy_j, "driver.gate_energy_j", at_least(0));
    check_range(d.driver.duty, "driver.duty", above_0_to_1);
    if (d.driver.control == bridge::CurrentControl::clamp) {
        check_range(d.driver.duty, "driver.duty", at_least(1), std::nullopt,
                    "a clamped current needs the whole half period");
        check_range(static_cast<double>(d.capacitors.size()), "capacitors.size", at_most(0), std::nullopt,
                    "a clamped current would charge one without end");
    }
    if (d.driver.control == bridge::CurrentControl::latched)
        check_range(static_cast<double>(d.capacitors.size()), "capacitors.size", at_most(0), std::nullopt,
                    "one drives the current on after the latch, past the limit");
    if (d.driver.control == bridge::CurrentControl::supply && !d.supply.converter)
        throw RangeError("driver.control", "supply", "another without a converter to lower the bus voltage");
    if (d.supply.converter) {
        check_range(d.supply.bus_v, "supply.bus_v", more_than(0));
        check_range(d.supply.efficiency, "supply.efficiency", above_0_to_1);
        check_range(d.supply.standby_w, "supply.standby_w", at_least(0));
    }
    check_range(d.supply.wiring_ohm, "supply.wiring_ohm", at_least(0));
    for (std::size_t i = 0; i < d.capacitors.size(); ++i) {
        const SeriesCapacitor& c = d.capacitors[i];
        check_range(c.capacitance_f, "capacitors.capacitance_f",
                    {.lowest = 0, .lowest_excluded = true, .highest_excluded = true}, i);
        check_range(c.tolerance, "capacitors.tolerance",
                    {.lowest = 0, .highest = 1, .highest_excluded = true}, i);
        check_range(c.rated_peak_v, "capacitors.rated_peak_v", more_than(0), i);
        check_range(c.bleed_ohm, "capacitors.bleed_ohm", more_than(0), i);
        check_range(c.esr_ohm, "capacitors.esr_ohm", at_least(0), i);
    }
}

void check_heat_and_limits(const TransmitterDesign& d) {
    const ThermalNodes& n = d.thermal;
    check_range(n.winding_j_per_k, "thermal.winding_j_per_k", more_than(0));
    check_range(n.electronics_j_per_k, "thermal.electronics_j_per_k", more_than(0));
    check_range(n.winding_ambient_k_per_w, "thermal.winding_ambient_k_per_w", more_than(0));
    check_range(n.electronics_ambient_k_per_w, "thermal.electronics_ambient_k_per_w", more_than(0));
    check_range(n.winding_electronics_k_per_w, "thermal.winding_electronics_k_per_w", more_than(0));
    const TransmitterLimits& l = d.limits;
    check_range(l.rms_a, "limits.rms_a", more_than(0));
    check_range(l.peak_a, "limits.peak_a", more_than(0));
    check_range(l.battery_a, "limits.battery_a", more_than(0));
    check_range(l.bus_power_w, "limits.bus_power_w", more_than(0));
    check_range(l.restart_winding_c, "limits.restart_winding_c", at_most(l.winding_c));
    check_range(l.restart_electronics_c, "limits.restart_electronics_c", at_most(l.electronics_c));
    check_range(l.self_resonance_margin, "limits.self_resonance_margin", at_least(1));
    check_range(d.idle_w, "idle_w", at_least(0));
    check_range(d.self_check_a, "self_check_a", more_than(0));
    check_range(d.self_check_hz, "self_check_hz", more_than(0));
}

std::vector<loop::LoopTap> taps_of(const loop::LoopDesign& loop, const char* which) {
    try {
        check_range(static_cast<double>(loop.taps.size()), "taps.size", at_least(1));
        std::vector<loop::LoopTap> taps;
        for (const int turns : loop.taps) taps.push_back(loop::make_tap(loop, turns));
        return taps;
    } catch (const RangeError& refused) {
        throw refused.within(which);
    }
}

}  // namespace

Transmitter prepare(TransmitterDesign design) {
    check_battery(design.battery);
    check_driver(design);
    check_heat_and_limits(design);
    Transmitter transmitter;
    transmitter.taps_a = taps_of(design.loop_a, "loop_a");
    if (design.loop_b) {
        transmitter.taps_b = taps_of(*design.loop_b, "loop_b");
        transmitter.mutual_one_turn_h = loop::loop_mutual_h(
            design.loop_a, *design.loop_b, design.loop_b_offset_north_m, design.loop_b_offset_east_m);
    }
    transmitter.design = std::move(design);
    return transmitter;
}

}  // namespace ampturn::model::transmitter
