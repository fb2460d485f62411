#include "scheduler/tune/tune_output.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "embedded/tune_page.hpp"
#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/tune/tune_readings.hpp"
#include "scheduler/tune/tune_words.hpp"

namespace ampturn::tune {

namespace {

using Json = nlohmann::ordered_json;

double hottest_winding_c(const day::DayResult& day) {
    double hottest = -std::numeric_limits<double>::infinity();
    for (const day::SweepOutcome& sweep : day.sweeps)
        for (const day::StepOutcome& step : sweep.steps) hottest = std::max(hottest, step.winding_c);
    return hottest;
}

double lowest_v(const day::DayResult& day) {
    double lowest = std::numeric_limits<double>::infinity();
    for (const day::BatteryUse& use : day.batteries) lowest = std::min(lowest, use.lowest_v);
    return lowest;
}

struct Line {
    std::string name, before, after;
};

std::string error_text(double relaxation) {
    return relaxation > 0 ? fmt::format("{} times the target", base::significant(relaxation, 3))
                          : "nothing served";
}

std::vector<Line> comparison(const Tuned& tuned, const std::optional<TunedDays>& days) {
    std::vector<Line> lines{
        {"one sweep", base::duration_text(tuned.before.duration_s),
         base::duration_text(tuned.after.duration_s)},
        {"energy of one sweep, estimated", base::significant(tuned.before.energy_wh, 3) + " Wh",
         base::significant(tuned.after.energy_wh, 3) + " Wh"},
        {"worst error bar where dwell decides", error_text(tuned.before.error),
         error_text(tuned.after.error)}};
    if (!days) return lines;
    const auto add = [&](const char* name, auto text) {
        lines.push_back({name, text(days->before), text(days->after)});
    };
    add("day: completed", [](const day::DayResult& d) { return std::string(d.completed ? "yes" : "no"); });
    add("day: required readings that pass",
        [](const day::DayResult& d) { return fmt::format("{} of {}", d.passed_count, d.required_count); });
    add("day: over at", [](const day::DayResult& d) { return base::clock_minutes_text(d.end_s); });
    add("day: energy", [](const day::DayResult& d) { return base::decimals(d.energy_wh, 1) + " Wh"; });
    add("day: lowest battery voltage",
        [](const day::DayResult& d) { return base::decimals(lowest_v(d), 2) + " V"; });
    add("day: batteries needed", [](const day::DayResult& d) { return std::to_string(d.batteries_needed); });
    add("day: hottest winding",
        [](const day::DayResult& d) { return base::decimals(hottest_winding_c(d), 1) + " C"; });
    return lines;
}

/// The sentence of that name in tune.txt.
std::string_view sentence(std::string_view name) {
    return base::named_line(embedded::tune_page::sentences(), name);
}

std::string verdict(const Tuned& tuned) {
    if (tuned.kept_input) return "The plan's own dwells are kept: none found is better by the same measure.";
    if (tuned.relaxation > 1) {
        std::string payers;
        for (const TunedFrequency& t : tuned.frequencies)
            if (t.relaxation_after > 1)
                payers += (payers.empty() ? "" : ", ") + base::frequency_text(t.frequency_hz);
        return base::filled_template(sentence("relaxed"),
                                     {{"factor", base::significant(tuned.relaxation, 4)},
                                      {"frequencies", payers.empty() ? "none" : payers}});
    }
    return "Every reading that dwell can bring to its target is brought there, in a sweep that is sent whole.";
}

std::string moved_text(const TunedDays& days) {
    return readings_moved_text(readings_moved(days.before, days.after), days.after.required_count);
}

// The assumption that decides most, with what the answer would be without it.
std::string assumed_text(const Tuned& tuned) {
    if (!tuned.with_flat_coils) return "";
    const plan::Receiver& receiver = tuned.plan.receiver;
    return base::filled_template(sentence("assumed"),
                                 {{"a", base::brief(receiver.coil_a_pt, 3)},
                                  {"floor", base::brief(receiver.coil_floor_pt_per_rthz, 3)},
                                  {"b", base::brief(receiver.coil_b_pt_per_hz, 3)},
                                  {"flat_duration", base::duration_text(tuned.with_flat_coils->duration_s)},
                                  {"flat_wh", base::significant(tuned.with_flat_coils->energy_wh, 3)},
                                  {"duration", base::duration_text(tuned.after.duration_s)},
                                  {"wh", base::significant(tuned.after.energy_wh, 3)}});
}

std::string pair_text(const DwellPair& d) { return base::brief(d.a_s, 4) + ", " + base::brief(d.b_s, 4); }

}  // namespace

std::string tune_text(const Tuned& tuned, const std::optional<TunedDays>& days, bool colour) {
    const auto heading = [&](const char* text) {
        return colour ? fmt::format("\n\x1b[1m{}\x1b[0m\n", text) : fmt::format("\n{}\n", text);
    };
    std::string out = base::wrapped(verdict(tuned), 100, 0);
    if (days) out += base::wrapped(moved_text(*days), 100, 0);
    out += heading("Before and after");
    base::TextTable sums({{""}, {"before", base::CellSide::right}, {"after", base::CellSide::right}});
    for (const Line& line : comparison(tuned, days)) sums.row({{line.name}, {line.before}, {line.after}});
    out += sums.text(100, 2, colour);
    if (tuned.with_flat_coils) out += base::wrapped(assumed_text(tuned), 100, 2);
    if (days && days->after.passed_count < days->before.passed_count)
        out += base::wrapped(sentence("day_worse"), 100, 2);
    out += heading("Dwells and error bars");
    base::TextTable dwells({{"Hz", base::CellSide::right},
                            {"A, B before s", base::CellSide::right},
                            {"A, B after s", base::CellSide::right},
                            {"error/target", base::CellSide::right},
                            {"after", base::CellSide::right},
                            {"correlated", base::CellSide::right},
                            {"required", base::CellSide::right},
                            {"served", base::CellSide::right},
                            {"s", base::CellSide::right},
                            {"Wh", base::CellSide::right}});
    for (const TunedFrequency& t : tuned.frequencies)
        dwells.row({{base::brief(t.frequency_hz, 5)},
                    {pair_text(t.before)},
                    {pair_text(t.after)},
                    {t.served > 0 ? base::significant(t.error_before, 2) : "-"},
                    {t.served > 0 ? base::significant(t.error_after, 2) : "-"},
                    {t.served > 0 ? base::significant(t.correlated_after, 2) : "-"},
                    {std::to_string(t.required)},
                    {std::to_string(t.served)},
                    {base::decimals(t.seconds_after, 1)},
                    {base::significant(t.energy_wh_after, 2)}});
    out += dwells.text(100, 2, colour) + base::wrapped(sentence("correlated"), 100, 2);
    out += heading("Why");
    for (const TunedFrequency& t : tuned.frequencies)
        out += base::wrapped_item(fmt::format("{:>9}  ", base::frequency_text(t.frequency_hz)),
                                  explanation_text(t, tuned.plan), 100, 2);
    return out;
}

std::string tune_json_text(const Tuned& tuned, const std::optional<TunedDays>& days) {
    const auto sums = [](const TunedSums& s) {
        return Json{{"duration_s", base::json_number(s.duration_s)},
                    {"estimated_energy_wh", base::json_number(s.energy_wh)},
                    {"error_over_target", base::json_number(s.error)}};
    };
    const auto day = [](const day::DayResult& d) {
        return Json{{"completed", d.completed},
                    {"passed_count", d.passed_count},
                    {"required_count", d.required_count},
                    {"end_s", base::json_number(d.end_s)},
                    {"energy_wh", base::json_number(d.energy_wh)},
                    {"lowest_v", base::json_number(lowest_v(d))},
                    {"batteries_needed", d.batteries_needed},
                    {"hottest_winding_c", base::json_number(hottest_winding_c(d))}};
    };
    Json frequencies = Json::array();
    for (const TunedFrequency& t : tuned.frequencies)
        frequencies.push_back(
            {{"frequency_hz", base::json_number(t.frequency_hz)},
             {"dwell_a_before_s", base::json_number(t.before.a_s)},
             {"dwell_b_before_s", base::json_number(t.before.b_s)},
             {"dwell_a_s", base::json_number(t.after.a_s)},
             {"dwell_b_s", base::json_number(t.after.b_s)},
             {"required_count", t.required},
             {"biased_count", t.biased},
             {"too_weak_count", t.too_weak},
             {"served_count", t.served},
             {"error_over_target_before", base::json_number(t.error_before)},
             {"error_over_target", base::json_number(t.error_after)},
             {"correlated_error_over_target_before", base::json_number(t.correlated_before)},
             {"correlated_error_over_target", base::json_number(t.correlated_after)},
             {"decided_by", t.decided_by ? Json(decider_text(t, tuned.plan)) : Json(nullptr)},
             {"cost_s", base::json_number(t.seconds_after)},
             {"cost_wh", base::json_number(t.energy_wh_after)},
             {"clear_alternative_hz",
              t.alternative_hz > 0 ? base::json_number(t.alternative_hz) : Json(nullptr)},
             {"clear_alternative_cost_s",
              t.alternative_hz > 0 ? base::json_number(t.alternative_seconds) : Json(nullptr)},
             {"explanation", explanation_text(t, tuned.plan)}});
    Json all{{"schema", "ampturn.tune"},
             {"schema_version", 1},
             {"version", std::string(base::version())},
             {"git_hash", std::string(base::git_hash())},
             {"plan_path", tuned.plan.source.path},
             {"relaxation", base::json_number(tuned.relaxation)},
             {"kept_input", tuned.kept_input},
             {"sweep_before", sums(tuned.before)},
             {"sweep_after", sums(tuned.after)}};
    if (tuned.with_flat_coils) all["sweep_after_with_flat_coils"] = sums(*tuned.with_flat_coils);
    if (days) {
        all["day_before"] = day(days->before);
        all["day_after"] = day(days->after);
    }
    all["frequencies"] = std::move(frequencies);
    return base::json_text(all, 1);
}

std::string tune_csv(const Tuned& tuned) {
    base::CsvTable csv({"frequency_hz", "dwell_a_before_s", "dwell_b_before_s", "dwell_a_s", "dwell_b_s",
                        "required_count", "biased_count", "too_weak_count", "served_count",
                        "error_over_target_before", "error_over_target",
                        "correlated_error_over_target_before", "correlated_error_over_target", "decided_by",
                        "cost_s", "cost_wh", "explanation"});
    for (const TunedFrequency& t : tuned.frequencies) {
        csv.cell(t.frequency_hz).cell(t.before.a_s).cell(t.before.b_s).cell(t.after.a_s).cell(t.after.b_s);
        csv.cell(t.required).cell(t.biased).cell(t.too_weak).cell(t.served);
        csv.cell(t.error_before).cell(t.error_after).cell(t.correlated_before).cell(t.correlated_after);
        csv.cell(decider_text(t, tuned.plan));
        csv.cell(t.seconds_after).cell(t.energy_wh_after).cell(explanation_text(t, tuned.plan)).end_row();
    }
    return csv.text();
}

std::string tune_html(const Tuned& tuned, const std::optional<TunedDays>& days) {
    const plan::Survey& survey = tuned.plan.survey;
    page::HtmlTable sums("", {{""}, {"before", true}, {"after", true}});
    for (const Line& line : comparison(tuned, days)) sums.row({line.name, line.before, line.after});
    page::HtmlTable dwells("",
                           {{"frequency", true},
                            {"A before s", true},
                            {"B before s", true},
                            {"A after s", true},
                            {"B after s", true},
                            {"error over target before", true},
                            {"after", true},
                            {"after, correlated", true, "natural field's E and H correlated by the ground"},
                            {"cost s", true},
                            {"cost Wh", true},
                            {"why"}});
    for (const TunedFrequency& t : tuned.frequencies)
        dwells.row({base::frequency_text(t.frequency_hz), base::brief(t.before.a_s, 4),
                    base::brief(t.before.b_s, 4), base::brief(t.after.a_s, 4), base::brief(t.after.b_s, 4),
                    t.served > 0 ? base::significant(t.error_before, 3) : "-",
                    t.served > 0 ? base::significant(t.error_after, 3) : "-",
                    t.served > 0 ? base::significant(t.correlated_after, 3) : "-",
                    base::decimals(t.seconds_after, 1), base::significant(t.energy_wh_after, 3),
                    explanation_text(t, tuned.plan)});
    const std::string body = base::filled_template(
        embedded::tune_page::body(),
        {{"survey", page::html_escaped(survey.name)},
         {"invented", survey.invented ? page::invented_line : ""},
         {"verdict", page::html_escaped(verdict(tuned) + (days ? " " + moved_text(*days) : ""))},
         {"sums", sums.html()},
         {"assumed", page::html_escaped(assumed_text(tuned))},
         {"correlated", page::html_escaped(sentence("correlated"))},
         {"dwells", dwells.html()},
         {"version", std::string(base::version())},
         {"git_hash", std::string(base::git_hash())}});
    return dwell_page("Dwells of " + survey.name, body, tune_json_text(tuned, days));
}

std::string dwell_page(const std::string& title, const std::string& body, const std::string& json_text) {
    return page::html_page({.title = title,
                            .body = body,
                            .data_json = base::json_text(Json::parse(json_text), -1),
                            .charts = embedded::tune_page::tune()});
}

}  // namespace ampturn::tune
