#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "model/base/constants.hpp"
#include "scheduler/base/csv.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/transmitter/transmitter_sheet.hpp"

namespace ampturn::transmitter {

namespace {

using nlohmann::json;

const char* control_text(plan::CurrentLimit limit) {
    switch (limit) {
        case plan::CurrentLimit::duty:
            return "duty (pulse width)";
        case plan::CurrentLimit::latched:
            return "latched cycle by cycle";
        case plan::CurrentLimit::clamp:
            return "clamp (fast chopping)";
    }
    return "?";
}

std::string capacitor_text(double capacitance_f) {
    if (capacitance_f <= 0) return "-";
    return capacitance_f >= 1e-6 ? base::brief(capacitance_f * 1e6, 3) + " uF"
                                 : base::brief(capacitance_f * 1e9, 3) + " nF";
}
std::string number(double v, int digits = 3) { return base::significant(v, digits); }
std::string maybe(const std::optional<double>& v, int digits = 3) {
    return v ? base::significant(*v, digits) : "-";
}

std::string limits_text(const TransmitterPoint& p) {
    std::string out = p.point.solved
                          ? name_of(p.point.limited_by)
                          : fmt::format("no operating point, {} W short", number(p.point.shortfall));
    if (p.point.near_self_resonance) out += ", self-resonance near";
    return out;
}

base::TextTable electrical_table(const TransmitterSheet& sheet) {
    base::TextTable t({{"step", base::CellSide::right},
                       {"Hz", base::CellSide::right},
                       {"", base::CellSide::left},
                       {"turns", base::CellSide::right},
                       {"C", base::CellSide::right},
                       {"L mH", base::CellSide::right},
                       {"R ohm", base::CellSide::right},
                       {"reson. Hz", base::CellSide::right},
                       {"fund.", base::CellSide::right, "current A"},
                       {"rms", base::CellSide::right, "current A"},
                       {"peak", base::CellSide::right, "current A"},
                       {"moment A m2", base::CellSide::right},
                       {"C volts", base::CellSide::right},
                       {"bus V", base::CellSide::right},
                       {"battery W", base::CellSide::right},
                       {"limited by", base::CellSide::left}});
    for (const TransmitterRow& r : sheet.rows)
        for (const bool best : {false, true}) {
            const TransmitterPoint& p = best ? r.best : r.chosen;
            const model::transmitter::OperatingPoint& o = p.point;
            t.row({{best ? "" : fmt::format("{}{}", r.step_number, name_of(r.loop))},
                   {best ? "" : number(r.frequency_hz, 5)},
                   {best ? "best" : "table"},
                   {std::to_string(p.turns)},
                   {capacitor_text(p.capacitance_f)},
                   {number(o.loop_inductance_h * 1e3)},
                   {number(o.loop_resistance_ohm)},
                   {o.resonance_hz > 0 ? number(o.resonance_hz, 4) : "-"},
                   {number(o.current.fundamental_peak_a)},
                   {number(o.current.rms_a)},
                   {number(o.current.peak_a)},
                   {number(o.moment_peak_a_m2, 4)},
                   {p.capacitor > 0 ? number(o.current.capacitor_peak_v) : "-"},
                   {number(o.bus_v, 4)},
                   {number(o.power.battery_w)},
                   {limits_text(p), o.solved ? 0 : 31}});
        }
    return t;
}

base::TextTable heat_table(const TransmitterSheet& sheet) {
    base::TextTable t({{"step", base::CellSide::right},
                       {"Hz", base::CellSide::right},
                       {"3rd", base::CellSide::right, "moment of harmonics A m2"},
                       {"5th", base::CellSide::right, "moment of harmonics A m2"},
                       {"7th", base::CellSide::right, "moment of harmonics A m2"},
                       {"copper", base::CellSide::right, "watts"},
                       {"bridge", base::CellSide::right, "watts"},
                       {"switch", base::CellSide::right, "watts"},
                       {"fixed", base::CellSide::right, "watts"},
                       {"conv.", base::CellSide::right, "watts"},
                       {"winding", base::CellSide::right, "steady C"},
                       {"electr.", base::CellSide::right, "steady C"},
                       {"limit after", base::CellSide::right},
                       {"holds at %", base::CellSide::right},
                       {"A at C -+tol.", base::CellSide::right},
                       {"to 50 V s", base::CellSide::right},
                       {"to 5 V s", base::CellSide::right},
                       {"J/(A m2 s)", base::CellSide::right}});
    for (const TransmitterRow& r : sheet.rows) {
        const TransmitterPoint& p = r.chosen;
        const model::transmitter::OperatingPoint& o = p.point;
        const double per_ampere =
            o.current.fundamental_peak_a > 0 ? o.moment_peak_a_m2 / o.current.fundamental_peak_a : 0;
        const auto harmonic = [&](std::size_t slot) {
            return number(o.current.harmonic_peak_a[slot] * per_ampere);
        };
        t.row({{fmt::format("{}{}", r.step_number, name_of(r.loop))},
               {number(r.frequency_hz, 5)},
               {harmonic(1)},
               {harmonic(2)},
               {harmonic(3)},
               {number(o.power.copper_w)},
               {number(o.power.bridge_w)},
               {number(o.power.switching_w, 2)},
               {number(o.power.fixed_w)},
               {number(o.power.converter_w)},
               {p.steady_winding_c ? number(*p.steady_winding_c) : "runaway", p.steady_winding_c ? 0 : 31},
               {maybe(p.steady_electronics_c)},
               {p.limit_after_s ? base::duration_text(*p.limit_after_s) : "-"},
               {p.duty_that_holds ? number(100 * *p.duty_that_holds) : "-"},
               {p.capacitor > 0 ? number(p.low_capacitance_a) + " / " + number(p.high_capacitance_a) : "-"},
               {maybe(p.capacitor_to_50_v_s, 2)},
               {maybe(p.capacitor_to_5_v_s, 2)},
               {number(p.energy_j_per_a_m2_s, 3)}});
    }
    return t;
}

json point_json(const TransmitterPoint& p) {
    const model::transmitter::OperatingPoint& o = p.point;
    json harmonics = json::object();
    for (std::size_t slot = 1; slot < o.current.harmonic_peak_a.size(); ++slot)
        harmonics[std::to_string(2 * slot + 1)] = o.current.harmonic_peak_a[slot];
    const auto optional = [](const std::optional<double>& v) { return v ? json(*v) : json(nullptr); };
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

std::string transmitter_text(const plan::Plan& plan, const TransmitterSheet& sheet, bool colour) {
    std::string out = fmt::format(
        "Transmitter of {}{}: air {:.3g} C, battery {:.3g} % charged, current limit {} {} A by {}\n"
        "Table CRC-32 {}, {}\n\n",
        plan.survey.name, plan.survey.invented ? " (invented scenario)" : "", sheet.air_c,
        100 * sheet.state_of_charge, plan.driver.current_limit_a,
        plan.driver.current_limit_quantity == plan::LimitQuantity::rms ? "rms" : "peak",
        control_text(plan.driver.current_limit), sheet.table_crc32,
        setup::made_for_text(sheet.table_made_for));
    out += electrical_table(sheet).text(160, 0, colour);
    out += "\nAs the table has it (\"table\" above):\n\n";
    out += heat_table(sheet).text(180, 0, colour);
    out += fmt::format(
        "\nProximity loss in R and self-resonance are estimates (+-20 %, +-40 %). "
        "\"best\" holds the heat limits for ever.\nLoops A and B: mutual inductance {} uH, coupling {}\n",
        number(sheet.mutual_h * 1e6), number(sheet.coupling, 2));
    for (const std::string& r : sheet.remarks) out += base::wrapped_item("! ", r, 110, 0);
    out += "\nCautions\n";
    for (const std::string& c : sheet.cautions) out += base::wrapped_item("- ", c, 110, 0);
    return out;
}

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
            {"keep_out_public_m", sheet.keep_out.public_m},
            {"keep_out_occupational_m", sheet.keep_out.occupational_m},
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

std::string variation_text(const plan::Plan& plan, const Variation& variation) {
    base::TextTable t({{variation.key, base::CellSide::right},
                       {"step", base::CellSide::right},
                       {"Hz", base::CellSide::right},
                       {"fund. A", base::CellSide::right, "table"},
                       {"moment A m2", base::CellSide::right, "table"},
                       {"battery W", base::CellSide::right, "table"},
                       {"C volts", base::CellSide::right, "table"},
                       {"limited by", base::CellSide::left, "table"},
                       {"turns", base::CellSide::right, "best"},
                       {"C", base::CellSide::right, "best"},
                       {"moment A m2 ", base::CellSide::right, "best"},
                       {"limited by ", base::CellSide::left, "best"}});
    for (const VariedSheet& v : variation.sheets)
        for (const TransmitterRow& r : v.sheet.rows) {
            const model::transmitter::OperatingPoint& o = r.chosen.point;
            t.row({{fmt::format("{:.6g}", v.value)},
                   {fmt::format("{}{}", r.step_number, name_of(r.loop))},
                   {number(r.frequency_hz, 5)},
                   {number(o.current.fundamental_peak_a)},
                   {number(o.moment_peak_a_m2, 4)},
                   {number(o.power.battery_w)},
                   {r.chosen.capacitor > 0 ? number(o.current.capacitor_peak_v) : "-"},
                   {limits_text(r.chosen)},
                   {std::to_string(r.best.turns)},
                   {capacitor_text(r.best.capacitance_f)},
                   {number(r.best.point.moment_peak_a_m2, 4)},
                   {limits_text(r.best)}});
        }
    return fmt::format("Transmitter of {}{}, {} varied\n\n{}", plan.survey.name,
                       plan.survey.invented ? " (invented scenario)" : "", variation.key,
                       t.text(150, 0, false));
}

std::string variation_csv(const Variation& variation) {
    base::CsvTable t({variation.key, "step", "loop", "frequency_hz", "which", "turns", "capacitance_f",
                      "fundamental_a_peak", "rms_a", "moment_a_m2_peak", "battery_w", "capacitor_v_peak",
                      "limited_by"});
    for (const VariedSheet& v : variation.sheets)
        for (const TransmitterRow& r : v.sheet.rows)
            for (const auto& [which, p] : {std::pair{"table", &r.chosen}, std::pair{"best", &r.best}}) {
                const model::transmitter::OperatingPoint& o = p->point;
                t.cell(v.value).cell(r.step_number).cell(name_of(r.loop)).cell(r.frequency_hz).cell(which);
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
        values.push_back({{"value", v.value}, {"transmitter", sheet}});
    }
    return {{"generator", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
            {"plan", plan.source.path},
            {"varied", variation.key},
            {"values", values}};
}

}  // namespace ampturn::transmitter
