#include "model/transmitter/rig.hpp"

#include <cmath>
#include <sstream>
#include <stdexcept>
#include <string>

namespace ampturn::model {

namespace {

void need(bool ok, const std::string& what, double found, const char* range) {
    if (ok) return;
    std::ostringstream text;
    text << what << ": " << found << " (" << range << ")";
    throw std::invalid_argument(text.str());
}

void check_battery(const BatteryBank& bank) {
    const BatteryBlock& b = bank.block;
    need(bank.series >= 1 && bank.series <= 100, "battery series", bank.series, "1 to 100");
    need(bank.parallel >= 1 && bank.parallel <= 100, "battery parallel", bank.parallel, "1 to 100");
    need(b.cells >= 1 && b.cells <= 400, "battery cells", b.cells, "1 to 400");
    need(b.capacity_25c_ah > 0, "battery capacity_25c_ah", b.capacity_25c_ah, "more than 0");
    need(b.available_fraction > 0 && b.available_fraction < 1, "battery available_fraction",
         b.available_fraction, "between 0 and 1");
    need(b.rate_per_h > 0, "battery rate_per_h", b.rate_per_h, "more than 0");
    need(b.ocv_soc.size() >= 2 && b.ocv_soc.size() == b.ocv_v_per_cell.size(), "battery ocv table entries",
         static_cast<double>(b.ocv_soc.size()), "at least 2, as many volts as states of charge");
    for (std::size_t i = 0; i + 1 < b.ocv_soc.size(); ++i) {
        need(b.ocv_soc[i] < b.ocv_soc[i + 1], "battery ocv_soc", b.ocv_soc[i + 1], "ascending");
        need(b.ocv_v_per_cell[i] <= b.ocv_v_per_cell[i + 1], "battery ocv_v_per_cell",
             b.ocv_v_per_cell[i + 1], "not falling");
    }
    need(b.ocv_v_per_cell.front() > 0, "battery ocv_v_per_cell", b.ocv_v_per_cell.front(), "more than 0");
    need(b.r25_ohm_per_cell > 0, "battery r25_ohm_per_cell", b.r25_ohm_per_cell, "more than 0");
    need(b.r_soc_coeff >= 0, "battery r_soc_coeff", b.r_soc_coeff, "0 or more");
    need(b.cutoff_v_per_cell > 0, "battery cutoff_v_per_cell", b.cutoff_v_per_cell, "more than 0");
    need(b.age_capacity_fraction > 0 && b.age_capacity_fraction <= 1.2, "battery age_capacity_fraction",
         b.age_capacity_fraction, "0 to 1.2");
    need(b.age_resistance_factor > 0, "battery age_resistance_factor", b.age_resistance_factor,
         "more than 0");
    need(b.capacity_temperature_c.size() == b.capacity_fraction.size(), "battery capacity_fraction entries",
         static_cast<double>(b.capacity_fraction.size()), "as many as capacity_temperature_c");
    for (std::size_t i = 0; i < b.capacity_fraction.size(); ++i) {
        need(b.capacity_fraction[i] > 0, "battery capacity_fraction", b.capacity_fraction[i], "more than 0");
        if (i > 0)
            need(b.capacity_temperature_c[i - 1] < b.capacity_temperature_c[i],
                 "battery capacity_temperature_c", b.capacity_temperature_c[i], "ascending");
    }
}

void check_driver(const RigDesign& d) {
    need(d.driver.rds_on_25c_ohm > 0, "driver rds_on_25c_ohm", d.driver.rds_on_25c_ohm, "more than 0");
    need(d.driver.rds_on_beta_per_k >= 0, "driver rds_on_beta_per_k", d.driver.rds_on_beta_per_k,
         "0 or more");
    need(d.driver.overlap_s >= 0, "driver overlap_s", d.driver.overlap_s, "0 or more");
    need(d.driver.dead_time_s >= 0, "driver dead_time_s", d.driver.dead_time_s, "0 or more");
    need(d.driver.quiescent_w >= 0, "driver quiescent_w", d.driver.quiescent_w, "0 or more");
    need(d.driver.gate_energy_j >= 0, "driver gate_energy_j", d.driver.gate_energy_j, "0 or more");
    need(d.driver.duty > 0 && d.driver.duty <= 1, "driver duty", d.driver.duty, "more than 0, at most 1");
    need(d.driver.duty == 1 || d.driver.control != CurrentControl::clamp, "driver duty with control = clamp",
         d.driver.duty, "1: a clamped current needs the whole half period");
    if (d.supply.converter) {
        need(d.supply.bus_v > 0, "supply bus_v", d.supply.bus_v, "more than 0");
        need(d.supply.efficiency > 0 && d.supply.efficiency <= 1, "supply efficiency", d.supply.efficiency,
             "more than 0, at most 1");
        need(d.supply.standby_w >= 0, "supply standby_w", d.supply.standby_w, "0 or more");
    }
    need(d.supply.wiring_ohm >= 0, "supply wiring_ohm", d.supply.wiring_ohm, "0 or more");
    need(d.driver.control != CurrentControl::supply || d.supply.converter,
         "driver control = supply, converter", 0, "needs a converter to lower the bus voltage");
    need(d.driver.control != CurrentControl::clamp || d.capacitors.empty(),
         "driver control = clamp, series capacitors", static_cast<double>(d.capacitors.size()),
         "none: a held current would charge one without end");
    for (const SeriesCapacitor& c : d.capacitors) {
        need(c.capacitance_f > 0 && std::isfinite(c.capacitance_f), "capacitor capacitance_f",
             c.capacitance_f, "more than 0");
        need(c.tolerance >= 0 && c.tolerance < 1, "capacitor tolerance", c.tolerance, "0 to 1");
        need(c.rated_peak_v > 0, "capacitor rated_peak_v", c.rated_peak_v, "more than 0");
        need(c.bleed_ohm > 0, "capacitor bleed_ohm", c.bleed_ohm, "more than 0");
        need(c.esr_ohm >= 0, "capacitor esr_ohm", c.esr_ohm, "0 or more");
    }
}

void check_heat_and_limits(const RigDesign& d) {
    const ThermalNodes& n = d.thermal;
    need(n.winding_j_per_k > 0, "thermal winding_j_per_k", n.winding_j_per_k, "more than 0");
    need(n.electronics_j_per_k > 0, "thermal electronics_j_per_k", n.electronics_j_per_k, "more than 0");
    need(n.winding_ambient_k_per_w > 0, "thermal winding_ambient_k_per_w", n.winding_ambient_k_per_w,
         "more than 0");
    need(n.electronics_ambient_k_per_w > 0, "thermal electronics_ambient_k_per_w",
         n.electronics_ambient_k_per_w, "more than 0");
    need(n.winding_electronics_k_per_w > 0, "thermal winding_electronics_k_per_w",
         n.winding_electronics_k_per_w, "more than 0");
    const RigLimits& l = d.limits;
    need(l.rms_a > 0, "limits rms_a", l.rms_a, "more than 0");
    need(l.peak_a > 0, "limits peak_a", l.peak_a, "more than 0");
    need(l.battery_a > 0, "limits battery_a", l.battery_a, "more than 0");
    need(l.bus_power_w > 0, "limits bus_power_w", l.bus_power_w, "more than 0");
    need(l.restart_winding_c <= l.winding_c, "limits restart_winding_c", l.restart_winding_c,
         "not above winding_c");
    need(l.restart_electronics_c <= l.electronics_c, "limits restart_electronics_c", l.restart_electronics_c,
         "not above electronics_c");
    need(l.self_resonance_margin >= 1, "limits self_resonance_margin", l.self_resonance_margin, "1 or more");
    need(d.idle_w >= 0, "idle_w", d.idle_w, "0 or more");
    need(d.self_check_a > 0, "self_check_a", d.self_check_a, "more than 0");
    need(d.self_check_hz > 0, "self_check_hz", d.self_check_hz, "more than 0");
}

std::vector<LoopTap> taps_of(const LoopDesign& loop, const char* which) {
    need(!loop.taps.empty(), std::string("loop ") + which + " taps", 0, "at least one");
    std::vector<LoopTap> taps;
    for (const int turns : loop.taps) taps.push_back(make_tap(loop, turns));
    return taps;
}

}  // namespace

Rig prepare(RigDesign design) {
    check_battery(design.battery);
    check_driver(design);
    check_heat_and_limits(design);
    Rig rig;
    rig.taps_a = taps_of(design.loop_a, "A");
    if (design.loop_b) {
        rig.taps_b = taps_of(*design.loop_b, "B");
        rig.mutual_one_turn_h = loop_mutual_h(design.loop_a, *design.loop_b, design.loop_b_offset_north_m,
                                              design.loop_b_offset_east_m);
    }
    rig.design = std::move(design);
    return rig;
}

}  // namespace ampturn::model
