#include <cmath>
#include <limits>

#include "model/base/constants.hpp"
#include "model/bridge/bridge.hpp"
#include "model/loop/loop.hpp"
#include "model/loop/wire.hpp"
#include "model/transmitter/battery.hpp"
#include "scheduler/reference/held_current.hpp"
#include "scheduler/reference/reference_case_runners.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

// Harmonics above this keep the wire's values at it.
constexpr double frozen_above_hz = 2e6;
constexpr int harmonics_max = 399;

class Chain {
  public:
    explicit Chain(const json& in) : in_(in) {
        for (const json& p : in.at("vertices_m"))
            outline_.vertices.push_back(
                {p.at(0).get<double>(), p.at(1).get<double>(), p.at(2).get<double>()});
        for (const json& p : in.at("turn_positions_m"))
            positions_.push_back({p.at(0).get<double>(), p.at(1).get<double>()});
        turns_ = in.at("turns").get<double>();
        wire_ = model::loop::wire_of_area(number("wire_area_mm2") * 1e-6);
        temperature_c_ = number("wire_temperature_C");
        length_m_ = turns_ * outline_.perimeter_m();
        winding_dc_ohm_ = length_m_ * wire_.resistance_dc_ohm_per_m(temperature_c_);
    }

    json summary() const {
        return {{"R_loop_dc_ohm", winding_dc_ohm_},
                {"area_m2", outline_.area_m2()},
                {"wire_length_m", length_m_},
                {"copper_mass_kg_at_8890kg_m3", length_m_ * (copper_density_kg_per_m3 * wire_.area_m2)}};
    }

    json row(double frequency_hz) const {
        const Impedance z = at(frequency_hz);
        const double loop_ohm = z.winding_ohm + number("lead_R_ohm");
        const double switch_ohm = 2 * number("rds_on_ohm");
        model::bridge::BridgeLoad load{loop_ohm + switch_ohm, z.inductance_h, capacitor(frequency_hz)};
        model::bridge::BridgeVoltage v{frequency_hz, number("bus_voltage_V")};
        const double limit = number_or(in_, "I_rms_limit_A", std::numeric_limits<double>::infinity());
        const auto held =
            hold_current(load, v, model::bridge::CurrentControl::supply, CurrentQuantity::rms, limit);
        v.bus_v = held.bus_v;
        const model::bridge::BridgeCurrent& c = held.current;
        const double bus_w = c.mean_power_w + model::bridge::switching_loss_w(c, v, number("t_overlap_s")) +
                             number("quiescent_W") + 4 * frequency_hz * number("gate_energy_per_switch_J");
        const model::transmitter::BatterySource battery{number("battery_ocv_V"), number("battery_R_ohm"), 0};
        const auto battery_a =
            model::transmitter::constant_power_current_a(battery, bus_w / number("dcdc_efficiency"));
        json row{{"frequency_Hz", frequency_hz},
                 {"L_H", z.inductance_h},
                 {"R_loop_ac_ohm", z.winding_ohm},
                 {"bus_V_used", held.bus_v},
                 {"current_limited", held.limited},
                 {"i_fundamental_peak_A", c.fundamental_peak_a},
                 {"i_rms_A", c.rms_a},
                 {"i_peak_A", c.peak_a},
                 {"i3_peak_A", c.harmonic_peak_a[1]},
                 {"phase_deg", c.fundamental_phase_rad * 180 / model::pi},
                 {"moment_fundamental_peak_A_m2", c.fundamental_peak_a * turns_ * outline_.area_m2()},
                 {"loop_power_W", loop_ohm * c.rms_a * c.rms_a},
                 {"bus_power_W", bus_w},
                 {"battery_current_A", or_null(battery_a)},
                 {"battery_terminal_V",
                  battery_a ? json(battery.ocv_v - battery.resistance_ohm * *battery_a) : json(nullptr)},
                 {"i_rms_with_R_L_at_each_harmonic_A", rms_by_harmonics(load, v)}};
        if (load.capacitance_f != model::bridge::no_capacitor) {
            row["series_C_F"] = load.capacitance_f;
            row["capacitor_peak_V"] = c.capacitor_peak_v;
        } else {
            row["series_C_F"] = nullptr;
            row["capacitor_peak_V"] = nullptr;
        }
        return row;
    }

  private:
    struct Impedance {
        double winding_ohm, inductance_h;
    };
    Impedance at(double frequency_hz) const {
        const model::loop::WireEffect s = model::loop::wire_effect(wire_, temperature_c_, frequency_hz);
        const double g = model::loop::bundle_gmr_m(
            positions_, model::loop::wire_gmr_m(wire_.radius_m(), s.internal_inductance_ratio));
        return {winding_dc_ohm_ * s.resistance_ratio,
                turns_ * turns_ * model::loop::self_inductance_h(outline_, g)};
    }
    double number(const char* key) const { return in_.at(key).get<double>(); }
    double capacitor(double frequency_hz) const {
        const auto found = in_.find("series_C_F_by_frequency_Hz");
        if (found == in_.end() || found->is_null()) return model::bridge::no_capacitor;
        for (const auto& [key, value] : found->items())
            if (!value.is_null() && std::stod(key) == frequency_hz) return value.get<double>();
        return model::bridge::no_capacitor;
    }
    // Each harmonic through the wire's own values there.
    double rms_by_harmonics(const model::bridge::BridgeLoad& load,
                            const model::bridge::BridgeVoltage& v) const {
        const double fixed_ohm = number("lead_R_ohm") + 2 * number("rds_on_ohm");
        double square = 0;
        Impedance z{};
        bool frozen = false;
        for (int n = 1; n <= harmonics_max; n += 2) {
            const double f = n * v.frequency_hz;
            if (!frozen) z = at(std::min(f, frozen_above_hz));
            frozen = f >= frozen_above_hz;
            const model::bridge::BridgeLoad there{z.winding_ohm + fixed_ohm, z.inductance_h,
                                                  load.capacitance_f};
            const double i = model::bridge::bridge_voltage_harmonic_v(v.bus_v, 1, n) /
                             model::bridge::load_impedance_ohm(there, f);
            square += i * i / 2;
        }
        return std::sqrt(square);
    }

    const json& in_;
    model::loop::LoopOutline outline_;
    std::vector<model::loop::TurnPosition> positions_;
    double turns_ = 1;
    model::loop::Wire wire_{};
    double temperature_c_ = 20, length_m_ = 0, winding_dc_ohm_ = 0;
};

CaseOutputs frequency_table(const json& in, const json&) {
    const Chain chain(in);
    json out = chain.summary();
    out["table"] = json::array();
    for (const double f : in.at("frequencies_Hz")) out["table"].push_back(chain.row(f));
    return {out, {}};
}

}  // namespace

void add_chain_runners(CaseRunners& runners) { runners["frequency_table"] = {.compute = frequency_table}; }

}  // namespace ampturn::reference
