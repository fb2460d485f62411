#include "scheduler/report/report_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"
#include "scheduler/report/report_tables.hpp"

namespace ampturn::plan {

namespace {

std::string card(const std::string& name, const std::string& value, const std::string& remark,
                 const char* css_class = "") {
    return fmt::format("<div class=\"{}\"><dt>{}</dt><dd>{}<small>{}</small></dd></div>\n", css_class,
                       html_escaped(name), html_escaped(value), html_escaped(remark));
}

const char* good_if(bool good) { return good ? "good" : "bad"; }

std::string header(const DayResult& day) {
    std::string out = fmt::format("<header>\n<h1>{}</h1>\n", html_escaped(day.survey_name));
    if (day.invented) out += "<p class=\"invented\">Invented scenario: no real survey, place or people</p>\n";
    if (!day.survey_note.empty()) out += fmt::format("<p>{}</p>\n", html_escaped(day.survey_note));
    out += fmt::format(
        "<p class=\"soft\">{}, local time is UTC{:+g} h. Plan {} (CRC-32 {}), sweep table CRC-32 {}.</p>\n",
        html_escaped(date_text(day)), day.utc_offset_h, html_escaped(day.plan_path),
        html_escaped(day.plan_crc32), html_escaped(day.table_crc32));
    out += "<nav aria-label=\"Sections\">";
    for (const auto& [id, name] : {std::pair{"verdicts", "Verdicts"},
                                   {"map", "Map"},
                                   {"battery", "Battery"},
                                   {"signal", "Signal"},
                                   {"soundings", "Soundings"},
                                   {"bias", "Bias"},
                                   {"timeline", "Timeline"},
                                   {"steps", "Steps"},
                                   {"cautions", "Cautions"}})
        out += fmt::format("<a href=\"#{}\">{}</a> ", id, name);
    return out + "</nav>\n</header>\n";
}

double largest_keep_out_m(const DayResult& day) {
    double largest = 0;
    for (const StandSummary& s : day.stands) largest = std::max(largest, s.keep_out_public_m);
    return std::ceil(largest * 10) / 10;
}

std::string cards(const DayResult& day) {
    const auto whole =
        std::count_if(day.sweeps.begin(), day.sweeps.end(), [](const SweepOutcome& s) { return s.complete; });
    const auto lowest =
        std::min_element(day.batteries.begin(), day.batteries.end(),
                         [](const auto& a, const auto& b) { return a.lowest_v < b.lowest_v; });
    const bool any_cut_off = std::any_of(day.batteries.begin(), day.batteries.end(),
                                         [](const auto& u) { return u.reached_cut_off; });
    std::string out = "<dl class=\"cards\">\n";
    out += card("The day", day.completed ? "completed" : "not completed",
                fmt::format("over at {}", clock_minutes_text(day.end_s)), good_if(day.completed));
    out += card("Readings that pass", fmt::format("{} of {}", day.passed_count, day.required_count),
                "of those the plan asks for", good_if(day.passed_count == day.required_count));
    out +=
        card("Batteries to carry", batteries_to_carry(day), fmt::format("planned: {}", day.batteries_carried),
             good_if(day.batteries_needed_suffice && day.batteries_needed <= day.batteries_carried));
    if (lowest != day.batteries.end())
        out += card("Lowest battery voltage", decimals(lowest->lowest_v, 2) + " V",
                    fmt::format("at {}, battery {}; cut-off {} V{}",
                                clock_minutes_text(lowest->lowest_v_time_s), lowest->battery_number,
                                decimals(day.battery_cut_off_v, 2), any_cut_off ? ", reached" : ""),
                    good_if(!any_cut_off));
    out += card("Sweeps sent whole", fmt::format("{} of {}", whole, day.sweeps.size()),
                duration_text(day.table_duration_s) + " each",
                good_if(whole == static_cast<long>(day.sweeps.size())));
    out += card("Energy taken", decimals(day.energy_wh, 0) + " Wh",
                "from the batteries, ramps and rests included");
    out += card("Keep people away", decimals(largest_keep_out_m(day), 1) + " m",
                "from the loops while sending; local rules decide");
    return out + "</dl>\n";
}

std::string findings(const DayResult& day) {
    if (day.findings.empty()) return "<p>Nothing out of the ordinary.</p>\n";
    std::string out = "<ol class=\"findings\">\n";
    for (const Finding& finding : day.findings)
        out += fmt::format("<li>{}</li>\n", html_escaped(finding_text(finding, day)));
    return out + "</ol>\n";
}

std::string section(const char* id, const char* name) {
    return fmt::format("<h2 id=\"{}\">{}</h2>\n", id, name);
}

std::string chart(const char* id, const std::string& caption, const std::string& spoken,
                  const char* size = "") {
    return fmt::format(
        "<figure><div class=\"chart {}\" id=\"chart-{}\" role=\"img\" aria-label=\"{}\"></div>\n"
        "<figcaption>{}</figcaption></figure>\n",
        size, id, html_escaped(spoken), html_escaped(caption));
}

std::string soundings(const DayResult& day) {
    std::string out = "<div class=\"soundings\">\n";
    for (std::size_t s = 0; s < day.stations.size(); ++s) {
        const std::string name = html_escaped(day.stations[s].name);
        out += fmt::format(
            "<figure><div class=\"chart\" data-sounding=\"{0}\" role=\"img\" aria-label=\"Apparent "
            "resistivity and "
            "phase against frequency at {1}\"></div></figure>\n",
            s, name);
    }
    return out + "</div>\n";
}

std::string cautions(const DayResult& day) {
    std::string out =
        "<div class=\"keep\">\n<p><strong>Energised loops, capacitor voltage and batteries can hurt. "
        "Local law, site rules and licensed practice decide; the figures here only help to "
        "plan.</strong></p>\n<ul>\n";
    for (const StandSummary& s : day.stands)
        out += fmt::format(
            "<li>Stand {}: keep people {} m from the loops while sending ({} m for instructed "
            "workers).</li>\n",
            html_escaped(s.name), decimals(std::ceil(s.keep_out_public_m * 10) / 10, 1),
            decimals(std::ceil(s.keep_out_occupational_m * 10) / 10, 1));
    for (const std::string& caution : day.cautions)
        out += fmt::format("<li>{}</li>\n", html_escaped(caution));
    return out + "</ul>\n</div>\n";
}

}  // namespace

std::string report_body(const DayResult& day, const DrawSummary* draws) {
    std::string out = header(day);
    out += "<main>\n" + cards(day) + findings(day);
    out +=
        "<noscript><p class=\"soft\">The charts need script. Their numbers are in the tables below each of "
        "them, "
        "which do not.</p></noscript>\n";

    out += section("verdicts", "Verdicts");
    out += fmt::format(
        "<p>Usable: one standard deviation within {} % in apparent resistivity and {}&deg; in phase, and "
        "bias against the "
        "plane wave within {} % and {}&deg;. Hover over a cell or tap it for the reason.</p>\n",
        brief(day.target_resistivity_percent, 3), brief(day.target_phase_deg, 3),
        brief(day.tolerance_bias_percent, 3), brief(day.tolerance_bias_deg, 3));
    out += verdict_matrix_html(day);
    out += collapsible("Every reading: signal, error bars, bias, reason", judged_table_html(day));

    out += section("map", "Map of stands and stations");
    out += chart(
        "map",
        "North is up; metres from the survey's origin. Rings: distance people keep from the loops while "
        "sending. Lines at a stand: the axes of its two loops. Filled part of a station: share of its "
        "required readings that pass. Thin line: the stations in the order they are visited.",
        "Map of transmitter stands and stations", "tall");
    out += stands_table_html(day) + collapsible("Stations", stations_table_html(day));
    if (day.order && !day.order->unchanged)
        out += collapsible("Order of the stations, as planned and as simulated", order_table_html(day));

    out += section("battery", "Battery through the day");
    out += chart("battery", "Terminal voltage under load and charge left, over local time; grey: sweeps.",
                 "Terminal voltage and charge of the batteries over the day");
    out += batteries_table_html(day) + fmt::format("<p>Batteries to carry: {}; {}.</p>\n",
                                                   batteries_to_carry(day),
                                                   html_escaped(batteries_needed_text(day)));
    out += battery_trace_html(day);

    out += section("signal", "Signal over noise");
    out +=
        "<p>Power ratio of each channel after all dwells of the station, in decibels, with the natural field "
        "counted as "
        "noise.</p>\n<p class=\"on-screen\"><label>Show <select id=\"snr-station\"></select></label></p>\n";
    out += chart(
        "snr",
        "All stations: the weakest of Ex, Ey, Hx, Hy over both loops. One station: each channel, solid for "
        "loop A, dashed for loop B.",
        "Signal to noise ratio against frequency", "tall");
    out += collapsible("Signal to noise as a table", snr_table_html(day));

    out += section("soundings", "Soundings with error bars");
    out +=
        "<p>Apparent resistivity above, phase below, high frequencies (shallow) to the left. Line: plane "
        "wave over the "
        "same ground. Circles xy, squares yx, as they would be recorded with the source bias in them; bars "
        "one standard "
        "deviation; hollow where the verdict is not usable.</p>\n";
    out += soundings(day);
    out += collapsible("Soundings as a table", soundings_table_html(day));

    out += section("bias", "Bias against the plane wave");
    out += chart(
        "bias",
        "Each reading: bias of apparent resistivity against offset in skin depths. Shaded: the tolerance. "
        "Rules of thumb only look at the horizontal axis; the verdicts use the computed bias.",
        "Bias of apparent resistivity against offset over skin depth");
    out += collapsible("Bias as a table", bias_table_html(day));

    if (draws != nullptr) out += section("draws", "How sure it is") + draws_html(day, *draws);
    out += section("timeline", "Timeline") + timeline_table_html(day);
    out += section("steps", "Steps of the sweep");
    out +=
        "<p>Current and moment: peak values of the fundamental, lowest to highest over the sweeps of the "
        "day. Energy: "
        "mean per sweep, ramps included.</p>\n";
    out += steps_table_html(day);
    out += section("cautions", "Keep out, and take care") + cautions(day);
    out += "</main>\n";
    out += fmt::format(
        "<footer><p>Written by ampturn {} ({}). x is north, y east; azimuths clockwise from true north; "
        "amplitudes are "
        "peak unless marked rms; error bars are one standard deviation.</p></footer>\n",
        version(), git_hash());
    return out;
}

}  // namespace ampturn::plan
