#include "scheduler/transmitter/transmitter_output.hpp"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "model/base/constants.hpp"
#include "scheduler/base/csv.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"

namespace ampturn::transmitter {

namespace {

using nlohmann::json;

json point_json(const TransmitterPoint& p) {
    const model::transmitter::OperatingPoint& o = p.point;
    json harmonics = json::object();
    for (std::size_t slot = 1; slot < o.current.harmonic_peak_a.size(); ++slot)
        harmonics[std::to_string(2 * slot + 1)] = o.current.harmonic_peak_a[slot];
    const auto optional = [](const std::optional<double>& v) { return v ? json(*v) : json(nullptr); };
    // Of the other loop where it carries current too.
    const auto other_loop = [&](const model::bridge::BridgeCurrent& current, const json& moment) {
        if (!(current.fundamental_peak_a > 0)) return json(nullptr);
        return json{{"fundamental_a_peak", current.fundamental_peak_a},
                    {"phase_deg", current.fundamental_phase_rad * 180 / model::pi},
                    {"rms_a", current.rms_a},
                    {"peak_a", current.peak_a},
                    {"moment_a_m2_peak", moment},
                    {"capacitor_v_peak", p.capacitor > 0 ? json(current.capacitor_peak_v) : json(nullptr)}};
    };
    return {
        {"turns", p.turns},
        {"capacitor", p.capacitor},
        {"capacitance_f", p.capacitance_f > 0 ? json(p.capacitance_f) : json(nullptr)},
        {"solved", o.solved},
        {"limited_by", name_of(o.limited_by)},
        {"shortfall_w", o.shortfall},
        {"inductance_h", o.loop_inductance_h},
        {"resistance_ohm", o.loop_resistance_ohm},
        {"total_resistance_ohm", o.total_resistance_ohm},
        {"resistance_ratio", o.winding_ratio},
        {"resonance_hz", o.resonance_hz > 0 ? json(o.resonance_hz) : json(nullptr)},
        {"quality", o.quality},
        {"self_resonance_estimate_hz", p.self_resonance_hz},
        {"near_self_resonance", o.near_self_resonance},
        {"duty", o.duty},
        {"bus_v", o.bus_v},
        {"fundamental_a_peak", o.current.fundamental_peak_a},
        {"phase_deg", o.current.fundamental_phase_rad * 180 / model::pi},
        {"rms_a", o.current.rms_a},
        {"peak_a", o.current.peak_a},
        {"harmonics_a_peak", harmonics},
        {"moment_a_m2_peak", o.moment_peak_a_m2},
        {"capacitor_v_peak", p.capacitor > 0 ? json(o.current.capacitor_peak_v) : json(nullptr)},
        {"capacitor_to_50_v_s", optional(p.capacitor_to_50_v_s)},
        {"capacitor_to_5_v_s", optional(p.capacitor_to_5_v_s)},
        {"fundamental_a_at_low_capacitance", p.capacitor > 0 ? json(p.low_capacitance_a) : json(nullptr)},
        {"fundamental_a_at_high_capacitance", p.capacitor > 0 ? json(p.high_capacitance_a) : json(nullptr)},
        {"loop_b", other_loop(o.current_b, o.moment_b_peak_a_m2)},
        {"idle_loop", other_loop(o.idle, nullptr)},
        {"copper_w", o.power.copper_w},
        {"bridge_w", o.power.bridge_w},
        {"switching_w", o.power.switching_w},
        {"fixed_w", o.power.fixed_w},
        {"converter_w", o.power.converter_w},
        {"battery_w", o.power.battery_w},
        {"battery_v", o.battery_v},
        {"battery_a", o.battery_a},
        {"steady_winding_c", optional(p.steady_winding_c)},
        {"steady_electronics_c", optional(p.steady_electronics_c)},
        {"steady_moment_a_m2_peak", optional(p.steady_moment_a_m2)},
        {"limit_after_s", optional(p.limit_after_s)},
        {"duty_that_holds", optional(p.duty_that_holds)},
        {"energy_j_per_a_m2_s", p.energy_j_per_a_m2_s}};
}

void csv_point(base::CsvTable& t, const TransmitterRow& r, const char* which, const TransmitterPoint& p) {
    const model::transmitter::OperatingPoint& o = p.point;
    const double nan = std::nan("");
    t.cell(r.step_number).cell(name_of(r.loop)).cell(r.requested_hz).cell(r.frequency_hz).cell(which);
    t.cell(p.turns).cell(p.capacitance_f > 0 ? p.capacitance_f : nan).cell(o.solved);
    t.cell(name_of(o.limited_by)).cell(o.loop_inductance_h).cell(o.loop_resistance_ohm);
    t.cell(o.resonance_hz > 0 ? o.resonance_hz : nan).cell(o.duty).cell(o.bus_v);
    t.cell(o.current.fundamental_peak_a).cell(o.current.rms_a).cell(o.current.peak_a);
    for (std::size_t slot = 1; slot < o.current.harmonic_peak_a.size(); ++slot)
        t.cell(o.current.harmonic_peak_a[slot]);
    t.cell(o.moment_peak_a_m2).cell(p.capacitor > 0 ? o.current.capacitor_peak_v : nan);
    t.cell(o.power.copper_w).cell(o.power.bridge_w).cell(o.power.switching_w).cell(o.power.fixed_w);
    t.cell(o.power.converter_w).cell(o.power.battery_w).cell(o.battery_v).cell(o.battery_a);
    t.cell(p.steady_winding_c.value_or(nan)).cell(p.steady_electronics_c.value_or(nan));
    t.cell(p.steady_moment_a_m2.value_or(nan));
    t.cell(p.limit_after_s.value_or(nan)).cell(p.duty_that_holds.value_or(nan)).cell(p.energy_j_per_a_m2_s);
    t.end_row();
}

}  // namespace

nlohmann::json transmitter_json(const plan::Plan& plan, const TransmitterSheet& sheet) {
    json rows = json::array();
    for (const TransmitterRow& r : sheet.rows)
        rows.push_back({{"step", r.step_number},
                        {"loop", name_of(r.loop)},
                        {"requested_hz", r.requested_hz},
                        {"frequency_hz", r.frequency_hz},
                        {"target_a_peak", r.target_a_peak},
                        {"table", point_json(r.chosen)},
                        {"best", point_json(r.best)}});
    json curves = json::array();
    for (const TransmitterCurve& c : sheet.curves)
        curves.push_back(
            {{"turns", c.turns},
             {"frequency_hz", c.frequency_hz},
             {"untuned_a_m2_peak", c.untuned_a_m2},
             {"bank_a_m2_peak", c.bank_a_m2},
             {"tuned_a_m2_peak", c.tuned_a_m2},
             {"heat_limit_a_m2_peak", c.heat_limit_a_m2},
             {"current_limit_a_m2_peak",
              std::isfinite(c.current_limit_a_m2) ? json(c.current_limit_a_m2) : json(nullptr)}});
    return {{"generator", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
            {"plan", plan.source.path},
            {"plan_crc32", base::crc32_text(plan.source.crc32)},
            {"survey", plan.survey.name},
            {"invented", plan.survey.invented},
            {"table_crc32", sheet.table_crc32},
            {"table_made_for",
             {{"temperature_c", sheet.table_made_for.temperature_c},
              {"state_of_charge_fraction", sheet.table_made_for.state_of_charge_fraction}}},
            {"air_c", sheet.air_c},
            {"state_of_charge", sheet.state_of_charge},
            {"mutual_inductance_h", sheet.mutual_h},
            {"coupling", sheet.coupling},
            {"over_current_trip_a_peak", sheet.over_current_trip_a_peak},
            {"keep_out_public_m", sheet.keep_out.public_m},
            {"keep_out_occupational_m", sheet.keep_out.occupational_m},
            {"keep_out_public_decided_by", setup::name_of(sheet.keep_out.public_decided_by())},
            {"keep_out_occupational_decided_by", setup::name_of(sheet.keep_out.occupational_decided_by())},
            {"magnetic_keep_out_public_m", sheet.keep_out.magnetic_public_m},
            {"magnetic_keep_out_occupational_m", sheet.keep_out.magnetic_occupational_m},
            {"electric_keep_out_public_m", sheet.keep_out.electric_public_m},
            {"electric_keep_out_occupational_m", sheet.keep_out.electric_occupational_m},
            {"loop_to_ground_v_rms", sheet.keep_out.loop_to_ground_v_rms},
            {"steps", rows},
            {"curves", curves},
            {"remarks", sheet.remarks},
            {"cautions", sheet.cautions}};
}

std::string transmitter_csv(const TransmitterSheet& sheet) {
    std::vector<std::string> names{
        "step",          "loop",   "requested_hz",       "frequency_hz", "which",          "turns",
        "capacitance_f", "solved", "limited_by",         "inductance_h", "resistance_ohm", "resonance_hz",
        "duty",          "bus_v",  "fundamental_a_peak", "rms_a",        "peak_a"};
    for (int n = 3; n <= 25; n += 2) names.push_back(fmt::format("harmonic_{}_a_peak", n));
    for (const char* name :
         {"moment_a_m2_peak", "capacitor_v_peak", "copper_w", "bridge_w", "switching_w", "fixed_w",
          "converter_w", "battery_w", "battery_v", "battery_a", "steady_winding_c", "steady_electronics_c",
          "steady_moment_a_m2_peak", "limit_after_s", "duty_that_holds", "energy_j_per_a_m2_s"})
        names.emplace_back(name);
    base::CsvTable t(std::vector<std::string_view>(names.begin(), names.end()));
    for (const TransmitterRow& r : sheet.rows) {
        csv_point(t, r, "table", r.chosen);
        csv_point(t, r, "best", r.best);
    }
    return t.text();
}

std::string transmitter_curves_csv(const TransmitterSheet& sheet) {
    base::CsvTable t({"turns", "frequency_hz", "untuned_a_m2_peak", "bank_a_m2_peak", "tuned_a_m2_peak",
                      "heat_limit_a_m2_peak", "current_limit_a_m2_peak"});
    for (const TransmitterCurve& c : sheet.curves)
        for (std::size_t i = 0; i < c.frequency_hz.size(); ++i) {
            t.cell(c.turns).cell(c.frequency_hz[i]).cell(c.untuned_a_m2[i]).cell(c.bank_a_m2[i]);
            t.cell(c.tuned_a_m2[i]).cell(c.heat_limit_a_m2[i]).cell(c.current_limit_a_m2);
            t.end_row();
        }
    return t.text();
}

std::string variation_csv(const Variation& variation) {
    std::vector<std::string_view> names(variation.keys.begin(), variation.keys.end());
    for (const char* name :
         {"step", "loop", "frequency_hz", "which", "turns", "capacitance_f", "fundamental_a_peak", "rms_a",
          "moment_a_m2_peak", "battery_w", "capacitor_v_peak", "limited_by"})
        names.emplace_back(name);
    base::CsvTable t(names);
    for (const VariedSheet& v : variation.sheets)
        for (const TransmitterRow& r : v.sheet.rows)
            for (const auto& [which, p] : {std::pair{"table", &r.chosen}, std::pair{"best", &r.best}}) {
                const model::transmitter::OperatingPoint& o = p->point;
                for (const double value : v.values) t.cell(value);
                t.cell(r.step_number).cell(name_of(r.loop)).cell(r.frequency_hz).cell(which);
                t.cell(p->turns).cell(p->capacitance_f > 0 ? p->capacitance_f : std::nan(""));
                t.cell(o.current.fundamental_peak_a).cell(o.current.rms_a).cell(o.moment_peak_a_m2);
                t.cell(o.power.battery_w);
                t.cell(p->capacitor > 0 ? o.current.capacitor_peak_v : std::nan(""))
                    .cell(name_of(o.limited_by));
                t.end_row();
            }
    return t.text();
}

nlohmann::json variation_json(const plan::Plan& plan, const Variation& variation) {
    json values = json::array();
    for (const VariedSheet& v : variation.sheets) {
        json sheet = transmitter_json(plan, v.sheet);
        sheet.erase("curves");
        sheet.erase("cautions");
        json at = json::object();
        for (std::size_t k = 0; k < variation.keys.size(); ++k) at[variation.keys[k]] = v.values[k];
        values.push_back({{"at", at}, {"transmitter", sheet}});
    }
    return {{"generator", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
            {"plan", plan.source.path},
            {"varied", variation.keys},
            {"values", values}};
}

}  // namespace ampturn::transmitter
