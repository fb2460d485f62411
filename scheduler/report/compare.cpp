#include "scheduler/report/compare.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"

namespace ampturn::report {

namespace {

using Json = nlohmann::ordered_json;

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

double lowest_v(const day::DayResult& d) {
    double lowest = std::numeric_limits<double>::infinity();
    for (const day::BatteryUse& use : d.batteries) lowest = std::min(lowest, use.lowest_v);
    return std::isfinite(lowest) ? lowest : nothing;
}

double cut_off_h(const day::DayResult& d) {
    double first = nothing;
    for (const day::BatteryUse& use : d.batteries)
        if (at_cut_off(use, d) && !(first <= use.cut_off_s / 3600)) first = use.cut_off_s / 3600;
    return first;
}

double keep_out_m(const day::DayResult& d) {
    double largest = 0;
    for (const day::SiteSummary& s : d.sites) largest = std::max(largest, s.keep_out_public_m);
    return largest;
}

double median_sd_percent(const day::DayResult& d) {
    std::vector<double> all;
    for (const reading::Reading& j : d.readings)
        if (j.verdict != reading::Verdict::not_sent)
            all.push_back(std::max(j.resistivity_sd_xy_percent, j.resistivity_sd_yx_percent));
    if (all.empty()) return nothing;
    const auto middle = all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2);
    std::nth_element(all.begin(), middle, all.end());
    return *middle;
}

int index_of(const std::vector<double>& frequencies_hz, double frequency_hz) {
    for (std::size_t i = 0; i < frequencies_hz.size(); ++i)
        if (std::fabs(frequencies_hz[i] - frequency_hz) <= 1e-3 * frequency_hz) return static_cast<int>(i);
    return -1;
}

int index_of(const std::vector<day::StationSummary>& stations, const std::string& name) {
    for (std::size_t i = 0; i < stations.size(); ++i)
        if (stations[i].name == name) return static_cast<int>(i);
    return -1;
}

std::vector<std::string> missing_in(const day::DayResult& other, const day::DayResult& here) {
    std::vector<std::string> out;
    for (const day::StationSummary& s : here.stations)
        if (index_of(other.stations, s.name) < 0) out.push_back("station " + s.name);
    for (const double f : here.frequencies_hz)
        if (index_of(other.frequencies_hz, f) < 0) out.push_back(base::frequency_text(f));
    return out;
}

}  // namespace

Comparison compare_days(const day::DayResult& a, const day::DayResult& b) {
    Comparison out{
        a.plan_path, b.plan_path, {}, {}, 0, 0, missing_in(b, a), missing_in(a, b), a.invented || b.invented};
    const auto add = [&](const char* name, auto value) {
        out.values.push_back({name, static_cast<double>(value(a)), static_cast<double>(value(b))});
    };
    add("day completed (1 yes)", [](const day::DayResult& d) { return d.completed ? 1 : 0; });
    add("required readings", [](const day::DayResult& d) { return d.required_count; });
    add("of them pass", [](const day::DayResult& d) { return d.passed_count; });
    add("stations", [](const day::DayResult& d) { return d.stations.size(); });
    add("frequencies", [](const day::DayResult& d) { return d.frequencies_hz.size(); });
    add("sweeps sent whole", [](const day::DayResult& d) {
        return std::count_if(d.sweeps.begin(), d.sweeps.end(),
                             [](const day::SweepOutcome& s) { return s.complete(); });
    });
    add("one sweep, min", [](const day::DayResult& d) { return d.table_duration_s / 60; });
    add("day over, h after midnight", [](const day::DayResult& d) { return d.end_s / 3600; });
    add("energy, Wh", [](const day::DayResult& d) { return d.energy_wh; });
    add("batteries carried", [](const day::DayResult& d) { return d.batteries_carried; });
    add("batteries needed", [](const day::DayResult& d) { return d.batteries_needed; });
    add("lowest battery voltage, V", lowest_v);
    add("first cut-off, h after midnight", cut_off_h);
    add("median error bar, %", median_sd_percent);
    add("keep out, public, m", keep_out_m);
    for (std::size_t s = 0; s < a.stations.size(); ++s) {
        const int other = index_of(b.stations, a.stations[s].name);
        for (std::size_t f = 0; other >= 0 && f < a.frequencies_hz.size(); ++f) {
            const int g = index_of(b.frequencies_hz, a.frequencies_hz[f]);
            const reading::Reading *in_a = reading_at(a, static_cast<int>(s), static_cast<int>(f)),
                                   *in_b = g < 0 ? nullptr : reading_at(b, other, g);
            if (in_a == nullptr || in_b == nullptr || in_a->verdict == in_b->verdict) continue;
            out.changed.push_back({a.stations[s].name, a.frequencies_hz[f], in_a->verdict, in_b->verdict});
            out.better += in_b->verdict == reading::Verdict::usable;
            out.worse += in_a->verdict == reading::Verdict::usable;
        }
    }
    return out;
}

namespace {

/// B less A, and that in per cent of A; empty where nothing changes or nothing can be said.
struct ChangeText {
    std::string difference, percent;
};
ChangeText change_of(const ComparedValue& v) {
    const double difference = v.b - v.a;
    const bool same = difference == 0 || (std::isnan(v.a) && std::isnan(v.b));
    return {same ? "" : (difference > 0 ? "+" : "") + base::brief(difference, 3),
            same || v.a == 0 || !std::isfinite(difference)
                ? ""
                : fmt::format("{:+.0f} %", 100 * difference / std::fabs(v.a))};
}

std::string changes_line(const Comparison& c) {
    if (c.changed.empty()) return "No verdict changes.";
    return fmt::format("{} verdicts change: {} become usable, {} cease to be.", c.changed.size(), c.better,
                       c.worse);
}

}  // namespace

std::string compare_text(const Comparison& c, bool colour) {
    std::string out =
        base::wrapped_item("A  ", c.name_a, 100, 0) + base::wrapped_item("B  ", c.name_b, 100, 0) + "\n";
    base::TextTable table({{""},
                           {"A", base::CellSide::right},
                           {"B", base::CellSide::right},
                           {"B - A", base::CellSide::right},
                           {"change", base::CellSide::right}});
    for (const ComparedValue& v : c.values) {
        const ChangeText change = change_of(v);
        table.row(
            {{v.name}, {base::brief(v.a, 4)}, {base::brief(v.b, 4)}, {change.difference}, {change.percent}});
    }
    out += table.text(100, 2, colour);
    for (const auto& [name, list] : {std::pair{"only in A: ", &c.only_in_a}, {"only in B: ", &c.only_in_b}})
        if (!list->empty())
            out += base::wrapped_item(std::string("  ") + name, fmt::format("{}", fmt::join(*list, ", ")),
                                      100, 0);
    out += "\n" + changes_line(c) + "\n";
    if (c.changed.empty()) return out;
    base::TextTable changed({{"station"}, {"frequency", base::CellSide::right}, {"A"}, {"B"}});
    for (const ComparedReading& r : c.changed)
        changed.row({{r.station},
                     {base::frequency_text(r.frequency_hz)},
                     {name_of(r.a)},
                     {name_of(r.b), r.b == reading::Verdict::usable   ? 32
                                    : r.a == reading::Verdict::usable ? 31
                                                                      : 0}});
    return out + changed.text(100, 2, colour);
}

std::string compare_json_text(const Comparison& c) {
    Json values = Json::array(), changed = Json::array();
    for (const ComparedValue& v : c.values)
        values.push_back({{"name", v.name}, {"a", base::json_number(v.a)}, {"b", base::json_number(v.b)}});
    for (const ComparedReading& r : c.changed)
        changed.push_back({{"station", r.station},
                           {"frequency_hz", base::json_number(r.frequency_hz)},
                           {"a", name_of(r.a)},
                           {"b", name_of(r.b)}});
    const Json all{{"schema", "ampturn.compare"},
                   {"schema_version", 1},
                   {"version", std::string(base::version())},
                   {"plan_a", c.name_a},
                   {"plan_b", c.name_b},
                   {"values", std::move(values)},
                   {"became_usable_count", c.better},
                   {"ceased_to_be_usable_count", c.worse},
                   {"changed", std::move(changed)},
                   {"only_in_a", c.only_in_a},
                   {"only_in_b", c.only_in_b}};
    return base::json_text(all, 1);
}

std::string compare_html(const Comparison& c) {
    std::string body = fmt::format(
        "<header>\n<h1>Two plans side by side</h1>\n<p>A: {}<br>B: {}</p>\n</header>\n<main>\n"
        "<h2>The day</h2>\n",
        page::html_escaped(c.name_a), page::html_escaped(c.name_b));
    if (c.invented) body += page::invented_line;
    page::HtmlTable values("", {{""}, {"A", true}, {"B", true}, {"B - A", true}, {"change", true}});
    for (const ComparedValue& v : c.values) {
        const ChangeText change = change_of(v);
        values.row({v.name, base::brief(v.a, 4), base::brief(v.b, 4), change.difference, change.percent});
    }
    body += values.html();
    for (const auto& [name, list] : {std::pair{"Only in A: ", &c.only_in_a}, {"Only in B: ", &c.only_in_b}})
        if (!list->empty())
            body += fmt::format("<p>{}{}</p>\n", name,
                                page::html_escaped(fmt::format("{}", fmt::join(*list, ", "))));
    body += fmt::format("<h2>Verdicts</h2>\n<p>{}</p>\n", changes_line(c));
    if (!c.changed.empty()) {
        page::HtmlTable changed("", {{"station"}, {"frequency", true}, {"A"}, {"B"}});
        for (const ComparedReading& r : c.changed)
            changed.row({r.station, base::frequency_text(r.frequency_hz), name_of(r.a), name_of(r.b)},
                        r.a == reading::Verdict::usable ? "stopped" : "");
        body += changed.html();
    }
    body += fmt::format("</main>\n<footer><p>Written by ampturn {} ({}).</p></footer>\n", base::version(),
                        base::git_hash());
    return page::html_page(
        {.title = "Two plans side by side", .body = body, .data_json = "{}", .charts = ""});
}

}  // namespace ampturn::report
