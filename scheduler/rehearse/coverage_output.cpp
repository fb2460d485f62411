#include "scheduler/rehearse/coverage_output.hpp"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "embedded/rehearsal.hpp"
#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"

namespace ampturn::rehearse {
namespace {

using Json = nlohmann::ordered_json;
using station::Agreement;

std::string share(double x) { return fmt::format("{:.1f}", 100 * x); }
std::string ratio(double x) { return fmt::format("{:.3f}", x); }

/// What a row says where nothing could be compared.
std::string why_none(const CoverageRow& row) {
    if (row.agreement.elements > 0) return "";
    if (row.mains_clash_order != 0)
        return fmt::format("in the band of mains harmonic {}", row.mains_clash_order);
    return row.measured == 0 ? "not measured" : "planned with 30 % or more";
}

std::string name_of(const CoverageRow& row) {
    return row.name.empty() ? fmt::format("{:.6g} Hz", row.frequency_hz) : row.name;
}

/// Elements, shares and ratios as columns; dashes where there is none.
std::vector<std::string> figures(const Agreement& a) {
    if (a.elements == 0) return {"0", "-", "-", "-", "-"};
    return {std::to_string(a.elements), share(a.inside_one_sd), share(a.inside_two_sd),
            ratio(a.scatter_over_planned), ratio(a.jackknife_over_planned)};
}

/// Days are independent, and so are elements but for the natural field that two axes share: the binomial deviation of a
/// share that is p, from as many.
std::string by_chance(const Agreement& a) {
    const auto deviation = [&](double p) { return 100 * std::sqrt(p * (1 - p) / a.elements); };
    return fmt::format("68.3 and 95.4 % of a normal distribution, within {:.1f} and {:.1f} % by chance",
                       2 * deviation(0.683), 2 * deviation(0.954));
}

std::string how(const CoverageResult& r) {
    return fmt::format(
        "The transmissions of the day are met by {} {} of noise (seeds {} to {}). {} of {} recordings have their lines drawn "
        "from the distribution that samples would give{}; they are processed as a crew would. Counted are impedances planned "
        "with less than 30 % error and clear of the mains.",
        r.days, r.days == 1 ? "day" : "days", r.seed, r.seed + static_cast<std::uint64_t>(r.days) - 1,
        r.steps_drawn, r.steps_drawn + r.steps_synthesised,
        r.steps_synthesised == 0
            ? ""
            : fmt::format("; {} may meet the end of a converter and were synthesised", r.steps_synthesised));
}

Json agreement_json(const Agreement& a) {
    const auto number = [&](double x) { return a.elements > 0 ? Json(x) : Json(nullptr); };
    return {{"elements", a.elements},
            {"inside_one_sd", number(a.inside_one_sd)},
            {"inside_two_sd", number(a.inside_two_sd)},
            {"scatter_over_planned", number(a.scatter_over_planned)},
            {"jackknife_over_planned", number(a.jackknife_over_planned)}};
}

std::string table_html(const char* caption, const char* what, const std::vector<CoverageRow>& rows) {
    page::HtmlTable table(caption, {{what},
                                    {"measured", true},
                                    {"impedances", true},
                                    {"inside one bar %", true, "68.3 expected"},
                                    {"inside two bars %", true, "95.4 expected"},
                                    {"scatter over planned bar", true},
                                    {"jackknife over planned bar", true},
                                    {"remark"}});
    for (const CoverageRow& row : rows) {
        std::vector<std::string> cells{name_of(row), std::to_string(row.measured)};
        for (const std::string& figure : figures(row.agreement)) cells.push_back(figure);
        cells.push_back(why_none(row));
        table.row(cells);
    }
    return table.html();
}

std::string cards(const Agreement& a) {
    const auto card = [](const char* name, const std::string& value, const std::string& small) {
        return fmt::format("<div><dt>{}</dt><dd>{}<small>{}</small></dd></div>\n", name, value, small);
    };
    if (a.elements == 0) return "<p>No impedance could be compared.</p>\n";
    return "<dl class=\"cards\">\n" +
           card("truth inside the bars", share(a.inside_one_sd) + " and " + share(a.inside_two_sd) + " %",
                "one and two standard deviations; " + by_chance(a)) +
           card("scatter over planned bar", ratio(a.scatter_over_planned),
                std::to_string(a.elements) + " impedances") +
           card("jackknife over planned bar", ratio(a.jackknife_over_planned), "from the records alone") +
           "</dl>\n";
}

}  // namespace

std::string coverage_json_text(const CoverageResult& r) {
    const auto rows = [](const std::vector<CoverageRow>& list, bool frequency) {
        Json json = Json::array();
        for (const CoverageRow& row : list) {
            Json item = frequency ? Json{{"frequency_hz", row.frequency_hz},
                                         {"mains_clash_order", row.mains_clash_order}}
                                  : Json{{"station", row.name}};
            item["measured"] = row.measured;
            item.update(agreement_json(row.agreement));
            json.push_back(std::move(item));
        }
        return json;
    };
    const Json json{{"schema", "ampturn.coverage"},
                    {"schema_version", 1},
                    {"program", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
                    {"synthetic", true},
                    {"invented_scenario", r.invented},
                    {"plan", r.plan_path},
                    {"plan_crc32", r.plan_crc32},
                    {"survey", r.survey_name},
                    {"seed", r.seed},
                    {"days", r.days},
                    {"recordings_drawn", r.steps_drawn},
                    {"recordings_synthesised", r.steps_synthesised},
                    {"whole", agreement_json(r.whole)},
                    {"frequencies", rows(r.by_frequency, true)},
                    {"stations", rows(r.by_station, false)}};
    return base::json_text(json, 1);
}

std::string coverage_csv(const CoverageResult& r) {
    base::CsvTable table({"of", "name", "measured", "elements", "inside_one_sd", "inside_two_sd",
                          "scatter_over_planned", "jackknife_over_planned"});
    const auto put = [&](const char* of, const std::string& name, int measured, const Agreement& a) {
        const auto number = [&](double x) { return a.elements > 0 ? x : std::nan(""); };
        table.cell(of)
            .cell(name)
            .cell(measured)
            .cell(a.elements)
            .cell(number(a.inside_one_sd))
            .cell(number(a.inside_two_sd))
            .cell(number(a.scatter_over_planned))
            .cell(number(a.jackknife_over_planned));
        table.end_row();
    };
    int measured = 0;
    for (const CoverageRow& row : r.by_station) measured += row.measured;
    put("all", "", measured, r.whole);
    for (const CoverageRow& row : r.by_frequency)
        put("frequency", fmt::format("{:.9g}", row.frequency_hz), row.measured, row.agreement);
    for (const CoverageRow& row : r.by_station) put("station", row.name, row.measured, row.agreement);
    return table.text();
}

std::string coverage_text(const CoverageResult& r) {
    std::string text = base::wrapped(fmt::format("{}{}: how far error bars hold (all data synthetic)",
                                                 r.survey_name, r.invented ? " (invented scenario)" : ""),
                                     100, 0) +
                       base::wrapped(how(r), 100, 0);
    const Agreement& a = r.whole;
    if (a.elements == 0)
        text += "No impedance could be compared.\n";
    else
        text += base::wrapped(
            fmt::format(
                "Truth inside one bar {} %, inside two {} % ({}). Scatter about the truth {} and jackknife {} times "
                "the planned bars, of {} impedances.",
                share(a.inside_one_sd), share(a.inside_two_sd), by_chance(a), ratio(a.scatter_over_planned),
                ratio(a.jackknife_over_planned), a.elements),
            100, 0);
    base::TextTable table({{"frequency, station"},
                           {"measured", base::CellSide::right},
                           {"impedances", base::CellSide::right},
                           {"one bar", base::CellSide::right, "inside, %"},
                           {"two bars", base::CellSide::right, "inside, %"},
                           {"scatter", base::CellSide::right, "over planned bar"},
                           {"jackknife", base::CellSide::right, "over planned bar"},
                           {"remark"}});
    for (const auto* rows : {&r.by_frequency, &r.by_station})
        for (const CoverageRow& row : *rows) {
            std::vector<base::TextCell> cells{{name_of(row)}, {std::to_string(row.measured)}};
            for (const std::string& figure : figures(row.agreement)) cells.push_back({figure});
            cells.push_back({why_none(row)});
            table.row(cells);
        }
    return text + "\n" + table.text(100, 0, false);
}

std::string coverage_html(const CoverageResult& r) {
    const std::string body =
        base::filled_template(embedded::rehearsal::coverage(),
                              {{"survey", page::html_escaped(r.survey_name)},
                               {"invented", r.invented ? page::invented_line : ""},
                               {"plan_path", page::html_escaped(r.plan_path)},
                               {"plan_crc32", r.plan_crc32},
                               {"first_seed", std::to_string(r.seed)},
                               {"last_seed", std::to_string(r.seed + static_cast<std::uint64_t>(r.days) - 1)},
                               {"cards", cards(r.whole)},
                               {"how", page::html_escaped(how(r))},
                               {"frequencies", table_html("By frequency", "frequency", r.by_frequency)},
                               {"stations", table_html("By station", "station", r.by_station)},
                               {"version", std::string(base::version())},
                               {"git_hash", std::string(base::git_hash())}});
    return page::html_page(
        {.title = r.survey_name + ", error bars", .body = body, .data_json = "{}", .charts = ""});
}

}  // namespace ampturn::rehearse
