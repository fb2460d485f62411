#include "scheduler/transmitter/transmitter_page.hpp"
#include "scheduler/base/json.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "embedded/transmitter_page.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/emission/emission_page.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::transmitter {

namespace {

using nlohmann::json;

// Enough of a number for a chart; what is not finite becomes null.
json rounded(double v) {
    if (!std::isfinite(v)) return nullptr;
    return std::stod(fmt::format("{:.6g}", v));
}
json rounded(const std::vector<double>& values) {
    json out = json::array();
    for (const double v : values) out.push_back(rounded(v));
    return out;
}

std::string listed(const std::string& title, const std::vector<std::string>& items) {
    if (items.empty()) return "";
    return fmt::format("<h2>{}</h2>\n<ul>\n{}</ul>\n", page::html_escaped(title), page::list_items(items));
}

std::string capacitor_text(double farad) {
    return farad > 0 ? fmt::format("{} nF", base::brief(farad * 1e9, 4)) : std::string("none");
}

std::string step_name(const TransmitterRow& row) {
    return fmt::format("{}{}", row.step_number, name_of(row.loop));
}

std::string limit_text(const TransmitterPoint& p) {
    return p.point.solved
               ? name_of(p.point.limited_by)
               : fmt::format("no operating point, {} W short", base::significant(p.point.shortfall, 3));
}

// Two tables, so that each fits a page: the circuit, and what flows in it.
std::string step_tables(const TransmitterSheet& sheet) {
    const std::vector<page::HtmlTable::Column> both{{"step"}, {"Hz", true}, {"as"}, {"turns", true}};
    const auto with = [&](const std::vector<page::HtmlTable::Column>& more) {
        std::vector<page::HtmlTable::Column> out = both;
        out.insert(out.end(), more.begin(), more.end());
        return out;
    };
    page::HtmlTable circuit(
        "Circuit: as the table has it, and the most within the limits",
        with({{"capacitor", true},
              {"L mH", true},
              {"R ohm", true, "winding with skin effect and the estimated proximity loss, and leads"},
              {"capacitor V peak", true},
              {"bus V", true},
              {"moment A m2 peak", true},
              {"limited by"}}));
    page::HtmlTable flow("Currents, power and heat of the same",
                         with({{"fundamental A peak", true},
                               {"rms A", true},
                               {"peak A", true},
                               {"3rd A", true},
                               {"5th A", true},
                               {"battery W", true},
                               {"copper W", true},
                               {"steady winding C", true, "if sent for ever"},
                               {"J per A m2 s", true}}));
    for (const TransmitterRow& r : sheet.rows)
        for (const bool best : {false, true}) {
            const TransmitterPoint& p = best ? r.best : r.chosen;
            const model::transmitter::OperatingPoint& o = p.point;
            const std::string step = step_name(r), hz = base::significant(r.frequency_hz, 5),
                              as = best ? "best" : "table", turns = std::to_string(p.turns);
            circuit.row(
                {step, hz, as, turns, capacitor_text(p.capacitance_f),
                 base::significant(o.loop_inductance_h * 1e3, 3), base::significant(o.loop_resistance_ohm, 3),
                 p.capacitor > 0 ? base::significant(o.current.capacitor_peak_v, 3) : "-",
                 base::significant(o.bus_v, 3), base::significant(o.moment_peak_a_m2, 4), limit_text(p)});
            flow.row({step, hz, as, turns, base::significant(o.current.fundamental_peak_a, 3),
                      base::significant(o.current.rms_a, 3), base::significant(o.current.peak_a, 3),
                      base::significant(o.current.harmonic_peak_a[1], 3),
                      base::significant(o.current.harmonic_peak_a[2], 3),
                      base::significant(o.power.battery_w, 3), base::significant(o.power.copper_w, 3),
                      p.steady_winding_c ? base::significant(*p.steady_winding_c, 3) : "runaway",
                      base::significant(p.energy_j_per_a_m2_s, 3)});
        }
    return circuit.html() + flow.html();
}

// What is drawn over a varied key.
struct VariedQuantity {
    const char *id, *name, *unit;
    double (*of)(const TransmitterPoint&);  // NaN where there is none
};
constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr std::array varied_quantities{
    VariedQuantity{"moment", "Moment", "A m\u00b2",
                   [](const TransmitterPoint& p) { return p.point.moment_peak_a_m2; }},
    VariedQuantity{"current", "Fundamental current, peak", "A",
                   [](const TransmitterPoint& p) { return p.point.current.fundamental_peak_a; }},
    VariedQuantity{
        "capacitor", "Capacitor, peak", "V",
        [](const TransmitterPoint& p) { return p.capacitor > 0 ? p.point.current.capacitor_peak_v : none; }},
    VariedQuantity{"energy", "Battery energy per moment and second", "J/(A m\u00b2 s)",
                   [](const TransmitterPoint& p) { return p.point.solved ? p.energy_j_per_a_m2_s : none; }}};

bool has_values(const Variation& variation, const VariedQuantity& q) {
    for (const VariedSheet& v : variation.sheets)
        for (const TransmitterRow& r : v.sheet.rows)
            if (q.of(r.chosen) > 0 || q.of(r.best) > 0) return true;
    return false;
}

std::string varied_figures(const Variation& variation) {
    std::string out;
    for (const VariedQuantity& q : varied_quantities) {
        if (!has_values(variation, q)) continue;
        for (const auto& [id, words] : {std::pair{"table", "as the table has it"}, {"best", "at best"}})
            out += fmt::format(
                "<figure><h3>{0}, {1}</h3><div class=\"chart\" id=\"chart-{2}-{3}\" role=\"img\" "
                "aria-label=\"{0} of each step, {1}\"></div></figure>\n",
                q.name, words, q.id, id);
    }
    return out;
}

// The page of `form`, one of the embedded bodies, filled with `values` and what both bodies hold.
std::string page_of(const plan::Plan& plan, const std::string& title, std::string_view form,
                    base::TemplateValues values, const json& data) {
    values.emplace_back("survey", page::html_escaped(plan.survey.name));
    values.emplace_back("invented", plan.survey.invented ? page::invented_line : "");
    values.emplace_back("version", page::html_escaped(base::version()));
    values.emplace_back("git_hash", page::html_escaped(base::git_hash()));
    return page::html_page({.title = title + ": " + plan.survey.name,
                            .body = base::filled_template(form, values),
                            .data_json = base::json_text(data, -1),
                            .charts = embedded::transmitter_page::charts()});
}

}  // namespace

std::string transmitter_page(const plan::Plan& plan, const TransmitterSheet& sheet) {
    json curves = json::array(), rows = json::array();
    for (const TransmitterCurve& c : sheet.curves)
        curves.push_back({{"turns", c.turns},
                          {"frequency_hz", rounded(c.frequency_hz)},
                          {"untuned", rounded(c.untuned_a_m2)},
                          {"bank", rounded(c.bank_a_m2)},
                          {"tuned", rounded(c.tuned_a_m2)},
                          {"heat", rounded(c.heat_limit_a_m2)},
                          {"current", rounded(c.current_limit_a_m2)}});
    for (const TransmitterRow& r : sheet.rows)
        rows.push_back({{"step", step_name(r)},
                        {"frequency_hz", rounded(r.frequency_hz)},
                        {"table", rounded(r.chosen.point.moment_peak_a_m2)},
                        {"best", rounded(r.best.point.moment_peak_a_m2)},
                        {"table_energy", rounded(r.chosen.energy_j_per_a_m2_s)},
                        {"best_energy", rounded(r.best.energy_j_per_a_m2_s)}});
    return page_of(plan, "Transmitter", embedded::transmitter_page::transmitter(),
                   {{"air_c", fmt::format("{:.3g}", sheet.air_c)},
                    {"charge_percent", fmt::format("{:.3g}", 100 * sheet.state_of_charge)},
                    {"table_crc32", sheet.table_crc32},
                    {"made_for", setup::made_for_text(sheet.table_made_for)},
                    {"exposure_levels", page::html_escaped(sheet.exposure_levels)},
                    {"keep_out_public_m", setup::safety_figure_text(sheet.keep_out.public_m)},
                    {"keep_out_occupational_m", setup::safety_figure_text(sheet.keep_out.occupational_m)},
                    {"steps", step_tables(sheet)},
                    {"emission", emission::emission_html(sheet.emission)},
                    {"remarks", listed("Remarks", sheet.remarks)},
                    {"cautions", listed("Cautions", sheet.cautions)}},
                   {{"curves", curves}, {"rows", rows}});
}

namespace {

/// Every value of the first key with one choice of the others: what one set of charts shows.
struct VariedGroup {
    std::string name;  // of that choice: "loop.a.turns 4", empty with one key
    std::vector<const VariedSheet*> sheets;
};
std::vector<VariedGroup> groups_of(const Variation& variation) {
    std::vector<VariedGroup> groups;
    const auto others = [](const VariedSheet& v) {
        return std::vector<double>(v.values.begin() + 1, v.values.end());
    };
    for (const VariedSheet& v : variation.sheets) {
        const auto known = std::find_if(groups.begin(), groups.end(), [&](const VariedGroup& g) {
            return others(*g.sheets.front()) == others(v);
        });
        if (known != groups.end()) {
            known->sheets.push_back(&v);
            continue;
        }
        VariedGroup group{.name = "", .sheets = {&v}};
        for (std::size_t k = 1; k < variation.keys.size(); ++k)
            group.name += fmt::format("{}{} = {:.6g}", k > 1 ? ", " : "", variation.keys[k], v.values[k]);
        groups.push_back(std::move(group));
    }
    return groups;
}

json varied_lines(const VariedGroup& group) {
    json lines = json::array();
    const std::vector<TransmitterRow>& rows = group.sheets.front()->sheet.rows;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        json line{{"step", step_name(rows[i])},
                  {"loop", name_of(rows[i].loop)},
                  {"frequency_hz", rounded(rows[i].frequency_hz)}};
        for (const VariedSheet* v : group.sheets) {
            const TransmitterRow& r = v->sheet.rows.at(i);
            for (const auto& [as, p] : {std::pair{"table", &r.chosen}, {"best", &r.best}})
                for (const VariedQuantity& q : varied_quantities) line[as][q.id].push_back(rounded(q.of(*p)));
        }
        lines.push_back(std::move(line));
    }
    return lines;
}

std::string varied_table(const Variation& variation) {
    std::vector<page::HtmlTable::Column> columns;
    for (const std::string& key : variation.keys) columns.push_back({key, true});
    columns.insert(columns.end(), {{"step"},
                                   {"Hz", true},
                                   {"as"},
                                   {"A m2", true},
                                   {"A", true},
                                   {"capacitor V", true},
                                   {"battery W", true},
                                   {"J per A m2 s", true},
                                   {"limited by"}});
    page::HtmlTable table("Moment, fundamental current and capacitor volts are peak values", columns);
    const auto shown = [](double v, int digits) {
        return std::isfinite(v) ? base::significant(v, digits) : "-";
    };
    const std::size_t rows = variation.sheets.empty() ? 0 : variation.sheets.front().sheet.rows.size();
    for (std::size_t i = 0; i < rows; ++i)
        for (const VariedSheet& v : variation.sheets) {
            const TransmitterRow& r = v.sheet.rows.at(i);
            for (const auto& [as, p] : {std::pair{"table", &r.chosen}, {"best", &r.best}}) {
                std::vector<std::string> cells;
                for (const double value : v.values) cells.push_back(fmt::format("{:.6g}", value));
                cells.insert(cells.end(), {step_name(r), base::significant(r.frequency_hz, 5), as});
                for (const VariedQuantity& q : varied_quantities) cells.push_back(shown(q.of(*p), 4));
                cells.insert(cells.end() - 1, shown(p->point.power.battery_w, 3));
                cells.push_back(limit_text(*p));
                table.row(cells);
            }
        }
    return table.html();
}

}  // namespace

std::string variation_page(const plan::Plan& plan, const Variation& variation) {
    json values = json::array(), groups = json::array(), quantities = json::array();
    for (const VariedGroup& group : groups_of(variation)) {
        groups.push_back({{"name", group.name}, {"lines", varied_lines(group)}});
        if (groups.size() == 1)
            for (const VariedSheet* v : group.sheets) values.push_back(rounded(v->values.front()));
    }
    for (const VariedQuantity& q : varied_quantities) quantities.push_back({{"id", q.id}, {"unit", q.unit}});
    const std::string keys = fmt::format("{}", fmt::join(variation.keys, ", "));
    return page_of(plan, "Transmitter, " + keys + " varied", embedded::transmitter_page::varied(),
                   {{"key", page::html_escaped(keys)},
                    {"first_key", page::html_escaped(variation.keys.front())},
                    {"figures", varied_figures(variation)},
                    {"steps", varied_table(variation)}},
                   {{"varied",
                     {{"key", variation.keys.front()},
                      {"values", values},
                      {"quantities", quantities},
                      {"groups", groups}}}});
}

}  // namespace ampturn::transmitter
