#include <fmt/format.h>

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/transmitter/transmitter_output.hpp"

namespace ampturn::transmitter {

namespace {

constexpr std::size_t no_wrap = 1000;  // a row of these tables is one line, as wide as it must be

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
            // The other loop where it carries current too; power and limits are on the line above.
            const bool idle = o.idle.fundamental_peak_a > 0;
            const model::bridge::BridgeCurrent& other = idle ? o.idle : o.current_b;
            if (other.fundamental_peak_a > 0)
                t.row({{""},
                       {""},
                       {idle ? "idle" : "loop B"},
                       {""},
                       {""},
                       {""},
                       {""},
                       {""},
                       {number(other.fundamental_peak_a)},
                       {number(other.rms_a)},
                       {number(other.peak_a)},
                       {idle ? "-" : number(o.moment_b_peak_a_m2, 4)},
                       {p.capacitor > 0 ? number(other.capacitor_peak_v) : "-"},
                       {""},
                       {""},
                       {""}});
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
    out += electrical_table(sheet).text(no_wrap, 0, colour);
    out += "\nAs the table has it (\"table\" above):\n\n";
    out += heat_table(sheet).text(no_wrap, 0, colour);
    out += fmt::format(
        "\nProximity loss in R and self-resonance are estimates (+-20 %, +-40 %). "
        "\"best\" holds the heat limits for ever.\nLoops A and B: mutual inductance {} uH, coupling {}\nOver-current trip: {} A peak\n",
        number(sheet.mutual_h * 1e6), number(sheet.coupling, 2), number(sheet.over_current_trip_a_peak, 3));
    for (const std::string& r : sheet.remarks) out += base::wrapped_item("! ", r, 110, 0);
    out += "\nCautions\n";
    for (const std::string& c : sheet.cautions) out += base::wrapped_item("- ", c, 110, 0);
    return out;
}

std::string variation_text(const plan::Plan& plan, const Variation& variation) {
    std::vector<base::TextColumn> columns;
    for (const std::string& key : variation.keys) columns.push_back({key, base::CellSide::right});
    columns.insert(columns.end(), {{"step", base::CellSide::right},
                                   {"Hz", base::CellSide::right},
                                   {"fund. A", base::CellSide::right, "table"},
                                   {"moment A m2", base::CellSide::right, "table"},
                                   {"battery W", base::CellSide::right, "table"},
                                   {"C volts", base::CellSide::right, "table"},
                                   {"J/(A m2 s)", base::CellSide::right, "table"},
                                   {"limited by", base::CellSide::left, "table"},
                                   {"turns", base::CellSide::right, "best"},
                                   {"C", base::CellSide::right, "best"},
                                   {"moment A m2 ", base::CellSide::right, "best"},
                                   {"limited by ", base::CellSide::left, "best"}});
    base::TextTable t(std::move(columns));
    for (const VariedSheet& v : variation.sheets)
        for (const TransmitterRow& r : v.sheet.rows) {
            const model::transmitter::OperatingPoint& o = r.chosen.point;
            std::vector<base::TextCell> cells;
            for (const double value : v.values) cells.push_back({fmt::format("{:.6g}", value)});
            cells.insert(cells.end(), {{fmt::format("{}{}", r.step_number, name_of(r.loop))},
                                       {number(r.frequency_hz, 5)},
                                       {number(o.current.fundamental_peak_a)},
                                       {number(o.moment_peak_a_m2, 4)},
                                       {number(o.power.battery_w)},
                                       {r.chosen.capacitor > 0 ? number(o.current.capacitor_peak_v) : "-"},
                                       {number(r.chosen.energy_j_per_a_m2_s)},
                                       {limits_text(r.chosen)},
                                       {std::to_string(r.best.turns)},
                                       {capacitor_text(r.best.capacitance_f)},
                                       {number(r.best.point.moment_peak_a_m2, 4)},
                                       {limits_text(r.best)}});
            t.row(std::move(cells));
        }
    return fmt::format("Transmitter of {}{}, {} varied\n\n{}", plan.survey.name,
                       plan.survey.invented ? " (invented scenario)" : "", fmt::join(variation.keys, " and "),
                       t.text(no_wrap, 0, false));
}

}  // namespace ampturn::transmitter
