#include "scheduler/report/report_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "embedded/report.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"
#include "scheduler/report/report_tables.hpp"
#include "scheduler/setup/planning_condition.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::report {

namespace {

std::string card(const std::string& name, const std::string& value, const std::string& remark,
                 const char* css_class = "") {
    return fmt::format("<div class=\"{}\"><dt>{}</dt><dd>{}<small>{}</small></dd></div>\n", css_class,
                       page::html_escaped(name), page::html_escaped(value), page::html_escaped(remark));
}

const char* good_if(bool good) { return good ? "good" : "bad"; }

std::string header(const day::DayResult& day, bool with_runs) {
    std::string out = fmt::format("<header>\n<h1>{}</h1>\n", page::html_escaped(day.survey_name));
    if (day.invented) out += page::invented_line;
    if (!day.survey_note.empty()) out += fmt::format("<p>{}</p>\n", page::html_escaped(day.survey_note));
    out += fmt::format(
        "<p class=\"soft\">{}, local time is UTC{:+g} h. Plan {} (CRC-32 {}), sweep table CRC-32 {}, "
        "{}.</p>\n",
        page::html_escaped(date_text(day)), day.utc_offset_h, page::html_escaped(day.plan_path),
        page::html_escaped(day.plan_crc32), page::html_escaped(day.table_crc32),
        setup::made_for_text(day.table_made_for));
    out += "<nav aria-label=\"Sections\">";
    for (const auto& [id, name] : {std::pair{"verdicts", "Verdicts"},
                                   {"map", "Map"},
                                   {"battery", "Battery"},
                                   {"signal", "Signal"},
                                   {"soundings", "Soundings"},
                                   {"bias", "Bias"},
                                   {"monte-carlo", "Runs"},
                                   {"timeline", "Timeline"},
                                   {"steps", "Steps"},
                                   {"cautions", "Cautions"}})
        if (with_runs || std::string_view(id) != "monte-carlo")
            out += fmt::format("<a href=\"#{}\">{}</a> ", id, name);
    return out + "</nav>\n</header>\n";
}

double largest_keep_out_m(const day::DayResult& day) {
    double largest = 0;
    for (const day::SiteSummary& s : day.sites) largest = std::max(largest, s.keep_out_public_m);
    return largest;
}

std::string heard_by(const day::DayResult& day) {
    const std::vector<day::SweepsHeard> heard = day::sweeps_heard(day.sweeps);
    return day.receiver_crews.empty() || heard.empty() ? "" : "; " + heard_text(heard);
}

std::string cards(const day::DayResult& day) {
    const auto whole = std::count_if(day.sweeps.begin(), day.sweeps.end(),
                                     [](const day::SweepOutcome& s) { return s.complete(); });
    const auto lowest =
        std::min_element(day.batteries.begin(), day.batteries.end(),
                         [](const auto& a, const auto& b) { return lower(a.lowest_v, b.lowest_v); });
    const bool any_cut_off = std::any_of(day.batteries.begin(), day.batteries.end(),
                                         [&](const auto& u) { return at_cut_off(u, day); });
    std::string out = "<dl class=\"cards\">\n";
    out += card("The day", day.completed ? "completed" : "not completed",
                fmt::format("over at {}; {} person-hours", base::clock_minutes_text(day.end_s),
                            base::decimals(day.person_hours, 1)),
                good_if(day.completed));
    out += card("Readings that pass", fmt::format("{} of {}", day.passed_count, day.required_count),
                "of those the plan asks for", good_if(day.passed_count == day.required_count));
    out +=
        card("Batteries to carry", batteries_to_carry(day), fmt::format("planned: {}", day.batteries_carried),
             good_if(day.batteries_needed_suffice && day.batteries_needed <= day.batteries_carried));
    if (lowest != day.batteries.end())
        out += card("Lowest battery voltage", base::decimals(lowest->lowest_v, 2) + " V",
                    fmt::format("at {}, battery {}; cut-off {} V{}",
                                base::clock_minutes_text(lowest->lowest_v_time_s), lowest->battery_number,
                                base::decimals(day.battery_cut_off_v, 2), any_cut_off ? ", reached" : ""),
                    good_if(!any_cut_off));
    out += card("Sweeps sent whole", fmt::format("{} of {}", whole, day.sweeps.size()),
                base::duration_text(day.table_duration_s) + " each" + heard_by(day),
                good_if(whole == static_cast<long>(day.sweeps.size())));
    out += card("Energy taken", base::decimals(day.energy_wh, 0) + " Wh",
                "from the batteries, ramps and rests included");
    out += card("Keep people away", base::decimals(largest_keep_out_m(day), 1) + " m",
                "from the loops while sending; local rules decide");
    return out + "</dl>\n";
}

std::string findings(const day::DayResult& day) {
    if (day.findings.empty()) return "<p>Nothing out of the ordinary.</p>\n";
    std::string out = "<ol class=\"findings\">\n";
    for (const day::Finding& finding : day.findings)
        out += fmt::format("<li>{}</li>\n", page::html_escaped(finding_text(finding, day)));
    return out + "</ol>\n";
}

std::string soundings(const day::DayResult& day) {
    std::string out = "<div class=\"soundings\">\n";
    for (std::size_t s = 0; s < day.stations.size(); ++s)
        out += fmt::format(
            "<figure{2}><div class=\"chart\" data-sounding=\"{0}\" role=\"img\" "
            "aria-label=\"Apparent resistivity and phase against frequency at {1}\"></div></figure>\n",
            s, page::html_escaped(day.stations[s].name),
            s < 24 ? "" : " class=\"paged-out\"");  // until paged to
    return out + "</div>\n";
}

std::string cautions(const day::DayResult& day) {
    std::string out;
    for (const day::SiteSummary& s : day.sites)
        out += fmt::format(
            "<li>Site {}: keep people {} m from the loops while sending ({} m for occupational exposure).</li>\n",
            page::html_escaped(s.name), setup::safety_figure_text(s.keep_out_public_m),
            setup::safety_figure_text(s.keep_out_occupational_m));
    return out + page::list_items(day.cautions);
}

std::string order(const day::DayResult& day) {
    if (day.crew_order && !day.crew_order->unchanged)
        return page::collapsible("Crews and order of the stations, as planned and as simulated",
                                 crew_order_table_html(day));
    if (!day.order || day.order->unchanged) return "";
    return page::collapsible("Order of the stations, as planned and as simulated", order_table_html(day));
}

}  // namespace

std::string report_body(const day::DayResult& day, const day::MonteCarloSummary* runs) {
    return base::filled_template(
        embedded::report::report(),
        {{"header", header(day, runs != nullptr)},
         {"cards", cards(day)},
         {"findings", findings(day)},
         {"target_resistivity_percent", base::brief(day.target_resistivity_percent, 3)},
         {"target_phase_deg", base::brief(day.target_phase_deg, 3)},
         {"tolerance_bias_percent", base::brief(day.tolerance_bias_percent, 3)},
         {"tolerance_bias_deg", base::brief(day.tolerance_bias_deg, 3)},
         {"verdict_matrix", verdict_matrix_html(day)},
         {"readings",
          collapsed_readings(day, "Every reading: signal, error bars, bias, reason", readings_table_html)},
         {"sites", sites_table_html(day)},
         {"stations", page::collapsible("Stations", stations_table_html(day))},
         {"order", order(day)},
         {"batteries", batteries_table_html(day)},
         {"batteries_needed", batteries_to_carry(day)},
         {"batteries_needed_why", page::html_escaped(batteries_needed_text(day))},
         {"battery_trace", battery_trace_html(day)},
         {"signal_to_noise", collapsed_readings(day, "Signal to noise as a table", snr_table_html)},
         {"soundings", soundings(day)},
         {"soundings_table", collapsed_readings(day, "Soundings as a table", soundings_table_html)},
         {"bias", collapsed_readings(day, "Bias as a table", bias_table_html)},
         {"runs", runs != nullptr ? monte_carlo_html(day, *runs) : ""},
         {"receiver_crews", receiver_crews_html(day)},
         {"timeline", timeline_table_html(day)},
         {"steps", steps_table_html(day)},
         {"cautions", cautions(day)},
         {"version", std::string(base::version())},
         {"git_hash", std::string(base::git_hash())}});
}

}  // namespace ampturn::report
