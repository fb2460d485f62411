#include <cmath>
#include <limits>

#include "model/base/constants.hpp"
#include "model/bridge/bridge.hpp"
#include "scheduler/reference/held_current.hpp"
#include "scheduler/reference/reference_case_runners.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

struct Inputs {
    model::bridge::BridgeLoad load;
    model::bridge::BridgeVoltage voltage;
    double loop_ohm, switch_ohm, overlap_s, quiescent_w, gate_j;
};

Inputs inputs_of(const json& in) {
    Inputs i{};
    i.loop_ohm = in.at("loop_R_ohm").get<double>();
    i.switch_ohm = 2 * in.at("rds_on_ohm").get<double>();
    i.load.resistance_ohm = i.loop_ohm + i.switch_ohm + number_or(in, "source_R_ohm", 0);
    i.load.inductance_h = in.at("loop_L_H").get<double>();
    i.load.capacitance_f = number_or(in, "series_C_F", model::bridge::no_capacitor);
    i.voltage = {in.at("frequency_Hz").get<double>(), in.at("bus_voltage_V").get<double>(),
                 number_or(in, "duty_D", 1), number_or(in, "dead_time_s", 0)};
    i.overlap_s = number_or(in, "t_overlap_s", 0);
    i.quiescent_w = number_or(in, "quiescent_W", 0);
    i.gate_j = number_or(in, "gate_energy_per_switch_J", 0);
    return i;
}

json outputs_of(const Inputs& in, const model::bridge::BridgeVoltage& v,
                const model::bridge::BridgeCurrent& c) {
    const double square = c.rms_a * c.rms_a;
    const double fundamental_square = c.fundamental_peak_a * c.fundamental_peak_a / 2;
    const double switching = model::bridge::switching_loss_w(c, v, in.overlap_s);
    const double fixed = in.quiescent_w + 4 * v.frequency_hz * in.gate_j;
    const double battery = c.mean_power_w + switching + fixed;
    json out{{"R_total_ohm", in.load.resistance_ohm},
             {"period_s", 1 / v.frequency_hz},
             {"i_fundamental_peak_A", c.fundamental_peak_a},
             {"i_fundamental_phase_vs_bridge_voltage_deg", c.fundamental_phase_rad * 180 / model::pi},
             {"i_rms_A", c.rms_a},
             {"i_peak_A", c.peak_a},
             {"i3_peak_A", c.harmonic_peak_a[1]},
             {"i5_peak_A", c.harmonic_peak_a[2]},
             {"i7_peak_A", c.harmonic_peak_a[3]},
             {"thd_of_current", std::sqrt(std::max(0.0, square / fundamental_square - 1))},
             {"loop_power_W", in.loop_ohm * square},
             {"bridge_conduction_loss_W", in.switch_ohm * square},
             {"i_at_rising_edge_A", c.rising_edge_a},
             {"i_at_falling_edge_A", c.falling_edge_a},
             {"switching_loss_W", switching},
             {"quiescent_and_gate_W", fixed},
             {"battery_power_W", battery},
             {"battery_current_avg_A", battery / v.bus_v},
             {"bus_power_W", c.mean_power_w},
             {"bus_current_avg_A", c.mean_power_w / v.bus_v}};
    if (in.load.capacitance_f != model::bridge::no_capacitor) {
        const double omega0 = 1 / std::sqrt(in.load.inductance_h * in.load.capacitance_f);
        out["capacitor_peak_V"] = c.capacitor_peak_v;
        out["resonance_Hz"] = omega0 / (2 * model::pi);
        out["Q_at_resonance"] = omega0 * in.load.inductance_h / in.load.resistance_ohm;
    }
    return out;
}

CaseOutputs steady_state(const json& in, const json&) {
    const Inputs i = inputs_of(in);
    return {outputs_of(i, i.voltage, model::bridge::bridge_steady_state(i.load, i.voltage)), {}};
}

CurrentQuantity quantity_named(const std::string& name) {
    if (name == "rms") return CurrentQuantity::rms;
    if (name == "peak") return CurrentQuantity::peak;
    if (name == "fundamental" || name == "fundamental_peak") return CurrentQuantity::fundamental_peak;
    unknown_word("limit_quantity", name, "rms, peak, fundamental or fundamental_peak");
}

CaseOutputs limit_by_duty_or_supply(const json& in, const json&) {
    const Inputs i = inputs_of(in);
    const auto quantity = quantity_named(in.at("limit_quantity").get<std::string>());
    const double limit = in.at("limit_A").get<double>();
    const model::bridge::BridgeCurrent full = model::bridge::bridge_steady_state(i.load, i.voltage);
    const double value = quantity == CurrentQuantity::rms    ? full.rms_a
                         : quantity == CurrentQuantity::peak ? full.peak_a
                                                             : full.fundamental_peak_a;
    json out{{"value_at_full_drive_A", value}};
    const auto by_duty =
        hold_current(i.load, i.voltage, model::bridge::CurrentControl::duty, quantity, limit);
    const auto by_supply =
        hold_current(i.load, i.voltage, model::bridge::CurrentControl::supply, quantity, limit);
    if (!by_duty.limited) {
        // Full drive stays below the limit: nothing to hold.
        out["duty_D_needed"] = nullptr;
        out["at_that_duty"] = nullptr;
        out["or_bus_voltage_needed_V"] = nullptr;
        out["at_that_voltage_square"] = nullptr;
        return {out, {}};
    }
    model::bridge::BridgeVoltage v = i.voltage;
    v.duty = by_duty.duty;
    out["duty_D_needed"] = by_duty.duty;
    out["at_that_duty"] = outputs_of(i, v, by_duty.current);
    v.duty = 1;
    v.bus_v = by_supply.bus_v;
    out["or_bus_voltage_needed_V"] = by_supply.bus_v;
    out["at_that_voltage_square"] = outputs_of(i, v, by_supply.current);
    return {out, {}};
}

CaseOutputs limit_latched(const json& in, const json&) {
    const Inputs i = inputs_of(in);
    const auto held = hold_current(i.load, i.voltage, model::bridge::CurrentControl::latched,
                                   CurrentQuantity::peak, in.at("peak_limit_A").get<double>());
    model::bridge::BridgeVoltage v = i.voltage;
    v.duty = held.duty;
    json out = outputs_of(i, v, held.current);
    out["on_time_s"] = held.duty / (2 * v.frequency_hz);
    return {out, {}};
}

CaseOutputs limit_clamp(const json& in, const json&) {
    const Inputs i = inputs_of(in);
    const auto held = hold_current(i.load, i.voltage, model::bridge::CurrentControl::clamp,
                                   CurrentQuantity::peak, in.at("clamp_A").get<double>());
    json out = outputs_of(i, i.voltage, held.current);
    out["rise_time_s"] = held.limited ? json(held.rise_time_s) : json(nullptr);
    out["check_R_rms2_W"] = i.load.resistance_ohm * held.current.rms_a * held.current.rms_a;
    return {out, {}};
}

CaseOutputs dead_time(const json& in, const json&) {
    model::bridge::BridgeLoad load{in.at("total_R_ohm").get<double>(), in.at("loop_L_H").get<double>()};
    const model::bridge::BridgeVoltage v{in.at("frequency_Hz").get<double>(),
                                         in.at("bus_voltage_V").get<double>(), number_or(in, "duty_D", 1),
                                         in.at("dead_time_s").get<double>()};
    const model::bridge::BridgeCurrent c = model::bridge::bridge_steady_state(load, v);
    json out{{"mode", c.zero_interval ? "zero-current interval" : "continuous"},
             {"i_peak_A", c.peak_a},
             {"diode_conduction_time_s", c.diode_time_s},
             {"i_rms_A", c.rms_a},
             {"i_fundamental_peak_A", c.fundamental_peak_a},
             {"i3_peak_A", c.harmonic_peak_a[1]},
             {"i5_peak_A", c.harmonic_peak_a[2]},
             {"i7_peak_A", c.harmonic_peak_a[3]},
             {"bus_power_W", c.mean_power_w},
             {"bus_current_avg_A", c.mean_power_w / v.bus_v}};
    return {out, {}};
}

}  // namespace

void add_bridge_runners(CaseRunners& runners) {
    runners["rl_square"] = {.compute = steady_state};
    runners["rl_quasi_square"] = {.compute = steady_state};
    runners["rlc_square"] = {.compute = steady_state};
    runners["rlc_quasi_square"] = {.compute = steady_state};
    runners["current_limit_by_duty_or_supply"] = {.compute = limit_by_duty_or_supply};
    runners["current_limit_cycle_by_cycle_latched"] = {.compute = limit_latched};
    runners["current_limit_ideal_clamp"] = {.compute = limit_clamp};
    runners["dead_time_rl"] = {.compute = dead_time};
}

}  // namespace ampturn::reference
