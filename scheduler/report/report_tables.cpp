#include "scheduler/report/report_tables.hpp"
#include "scheduler/report/outcome_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <span>
#include <vector>

#include "embedded/report.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/day_text.hpp"
#include "scheduler/report/step_summary.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::report {

namespace {

struct Mark {
    const char *css_class, *symbol, *meaning;
};

Mark mark_of(reading::Verdict verdict) {
    switch (verdict) {
        case reading::Verdict::usable:
            return {"usable", "\u2713", "error bars and bias inside the targets"};
        case reading::Verdict::noisy:
            return {"noisy", "\u223f", "error bars too large"};
        case reading::Verdict::transition:
            return {"transition", "\u25b2", "too close to the source for a plane wave"};
        case reading::Verdict::near_field:
            return {"near", "\u25c6", "far off the plane wave"};
        case reading::Verdict::not_sent:
            return {"not-sent", "\u2013", "no signal was sent for it"};
    }
    return {"", "", ""};
}

std::string legend() {
    std::string out = "<ul class=\"legend\">\n";
    for (const reading::Verdict v :
         {reading::Verdict::usable, reading::Verdict::noisy, reading::Verdict::transition,
          reading::Verdict::near_field, reading::Verdict::not_sent}) {
        const Mark mark = mark_of(v);
        out += fmt::format("<li><span class=\"{}\">{} {}</span>{}</li>\n", mark.css_class, mark.symbol,
                           name_of(v), mark.meaning);
    }
    return out + "<li>Pale: the plan does not require this reading.</li>\n</ul>\n";
}

std::string percent(double value) { return base::significant(value, 3); }

}  // namespace

namespace {

// As many columns of marks fit a page of the usual width, of marks with their words fewer.
constexpr std::size_t columns_most = 36, columns_with_words = 18;

std::string verdict_cell(const day::DayResult& day, std::size_t station, int frequency_index) {
    const reading::Reading* j = reading_at(day, static_cast<int>(station), frequency_index);
    if (j == nullptr) return "<td></td>";
    const Mark mark = mark_of(j->verdict);
    return fmt::format(
        "<td class=\"{}{}\" title=\"{}\"><b>{}</b><span>{}</span></td>", mark.css_class,
        j->required ? "" : " optional",
        page::html_escaped(fmt::format("{}, {}: {}{}{}", day.stations[station].name,
                                       base::frequency_text(j->frequency_hz), name_of(j->verdict),
                                       j->reason.empty() ? "" : ", ", j->reason)),
        mark.symbol, name_of(j->verdict));
}

// One grid of these frequencies, as indices.
std::string verdict_grid(const day::DayResult& day, std::span<const std::size_t> columns) {
    std::string out =
        fmt::format("<div class=\"scroll\" tabindex=\"0\"><table class=\"matrix{}\">\n<thead><tr><th></th>",
                    columns.size() > columns_with_words ? " narrow" : "");
    for (const std::size_t i : columns) {
        const double f = day.frequencies_hz[i];
        const bool kilo = f >= 1e3;
        out += fmt::format("<th scope=\"col\">{}<br>{}</th>", base::significant(f / (kilo ? 1e3 : 1), 3),
                           kilo ? "kHz" : "Hz");
    }
    out += "</tr></thead>\n<tbody>\n";
    for (std::size_t s = 0; s < day.stations.size(); ++s) {
        out += fmt::format("<tr><th scope=\"row\">{}</th>", page::html_escaped(day.stations[s].name));
        for (const std::size_t i : columns) out += verdict_cell(day, s, static_cast<int>(i));
        out += "</tr>\n";
    }
    return out + "</tbody></table></div>\n";
}

}  // namespace

std::string verdict_matrix_html(const day::DayResult& day) {
    std::string out = legend();
    const std::vector<std::size_t> columns = high_frequencies_first(day);
    const std::size_t grids = (columns.size() + columns_most - 1) / columns_most;
    for (std::size_t g = 0; g < grids; ++g) {
        const std::size_t begin = g * columns.size() / grids, end = (g + 1) * columns.size() / grids;
        out += verdict_grid(day, std::span(columns).subspan(begin, end - begin));
    }
    return out + "<p class=\"on-screen\" id=\"reason\" aria-live=\"polite\"></p>\n" +
           page::collapsible("The same as plain text",
                             "<pre>" + page::html_escaped(verdict_matrix_text(day)) + "</pre>\n");
}

std::string collapsed_readings(const day::DayResult& day, const std::string& summary,
                               std::string (*table)(const day::DayResult&)) {
    constexpr std::size_t rows_most = 1000;
    if (day.readings.size() <= rows_most) return page::collapsible(summary, table(day));
    return fmt::format("<p class=\"soft\">{}: {} rows, in judged.csv and day.json beside this page.</p>\n",
                       page::html_escaped(summary), day.readings.size());
}

std::string readings_table_html(const day::DayResult& day) {
    page::HtmlTable table(
        "", {{"station"},
             {"frequency", true},
             {"offset / skin depth", true},
             {"dwell A, B s", true},
             {"weakest SNR dB", true},
             {"sd % xy", true},
             {"sd % yx", true},
             {"sd % xy, correlated", true, "natural field's E and H correlated by the ground"},
             {"sd % yx, correlated", true, "natural field's E and H correlated by the ground"},
             {"sd deg xy", true},
             {"sd deg yx", true},
             {"sd deg xy, correlated", true, "natural field's E and H correlated by the ground"},
             {"sd deg yx, correlated", true, "natural field's E and H correlated by the ground"},
             {"natural field as signal: sd %", true},
             {"bias % xy", true},
             {"bias % yx", true},
             {"condition of H", true},
             {"verdict"},
             {"reason"}});
    for (const reading::Reading& j : day.readings)
        table.row({station_name(day, j.station_index), base::frequency_text(j.frequency_hz),
                   base::significant(j.offset_over_skin_depth, 3),
                   base::brief(if_sent(j.dwell_a_s, j.dwell_a_s), 3) + ", " +
                       base::brief(if_sent(j.dwell_b_s, j.dwell_b_s), 3),
                   base::decibel_text(weakest_snr(j)), percent(j.resistivity_sd_xy_percent),
                   percent(j.resistivity_sd_yx_percent), percent(j.correlated_resistivity_sd_xy_percent),
                   percent(j.correlated_resistivity_sd_yx_percent), base::significant(j.phase_sd_xy_deg, 3),
                   base::significant(j.phase_sd_yx_deg, 3),
                   base::significant(j.correlated_phase_sd_xy_deg, 3),
                   base::significant(j.correlated_phase_sd_yx_deg, 3), percent(j.natural_signal_sd_percent),
                   percent(j.bias_xy_percent), percent(j.bias_yx_percent),
                   base::significant(j.h_condition_number, 3),
                   std::string(name_of(j.verdict)) + (j.required ? "" : " (not required)"), j.reason});
    return std::string(embedded::report::reading_legend()) + table.html();
}

std::string sites_table_html(const day::DayResult& day) {
    page::HtmlTable table("Transmitter sites", {{"site"},
                                                {"north m", true},
                                                {"east m", true},
                                                {"latitude deg", true},
                                                {"longitude deg", true},
                                                {"axis of loop A deg", true},
                                                {"axis of loop B deg", true},
                                                {"keep out, public m", true},
                                                {"keep out, workers m", true}});
    for (const day::SiteSummary& s : day.sites)
        table.row({s.name, base::decimals(s.x_m, 0), base::decimals(s.y_m, 0),
                   base::decimals(s.latitude_deg, 5), base::decimals(s.longitude_deg, 5),
                   base::decimals(s.loop_azimuth_a_deg, 1), base::decimals(s.loop_azimuth_b_deg, 1),
                   setup::safety_figure_text(s.keep_out_public_m),
                   setup::safety_figure_text(s.keep_out_occupational_m)});
    return table.html();
}

std::string stations_table_html(const day::DayResult& day) {
    page::HtmlTable table("", {{"station"},
                               {"site"},
                               {"north m", true},
                               {"east m", true},
                               {"offset m", true},
                               {"bearing deg", true},
                               {"required readings", true},
                               {"of them pass", true}});
    for (const day::StationSummary& s : day.stations)
        table.row({s.name, site_name(day, s.site_index), base::decimals(s.x_m, 0), base::decimals(s.y_m, 0),
                   base::decimals(s.offset_m, 0), base::decimals(s.bearing_deg, 1),
                   std::to_string(s.required_count), std::to_string(s.passed_count)});
    return table.html();
}

std::string order_table_html(const day::DayResult& day) {
    page::HtmlTable table("", {{"visit", true}, {"in the plan's order"}, {"in the shorter order"}});
    for (std::size_t s = 0; s < day.stations.size(); ++s)
        table.row({std::to_string(s + 1), day.order->planned_stations[s], day.stations[s].name});
    return table.html();
}

std::string crew_order_table_html(const day::DayResult& day) {
    page::HtmlTable table("", {{"visit", true}, {"as planned"}, {"crew"}, {"as simulated"}, {"crew"}});
    for (std::size_t s = 0; s < day.stations.size(); ++s)
        table.row({std::to_string(s + 1), day.crew_order->planned_stations[s],
                   receiver_crew_name(day, day.crew_order->planned_crews[s]), day.stations[s].name,
                   receiver_crew_name(day, day.stations[s].crew_index)});
    return table.html();
}

std::string batteries_table_html(const day::DayResult& day) {
    page::HtmlTable table("", {{"battery", true},
                               {"connected"},
                               {"until"},
                               {"taken Ah", true},
                               {"taken Wh", true},
                               {"lowest V", true},
                               {"at"},
                               {"left %", true},
                               {"cut-off"}});
    for (const day::BatteryUse& u : day.batteries)
        table.row({std::to_string(u.battery_number), base::clock_text(u.connected_s),
                   base::clock_text(u.disconnected_s), base::decimals(u.delivered_ah, 1),
                   base::decimals(u.delivered_wh, 0), base::decimals(u.lowest_v, 2),
                   base::clock_text(u.lowest_v_time_s), base::decimals(100 * u.left_fraction, 0),
                   battery_end_text(u, day)},
                  u.reached_cut_off ? "stopped" : "");
    return table.html();
}

std::string battery_trace_html(const day::DayResult& day) {
    constexpr std::size_t rows_most = 400;
    const std::vector<day::BatterySample>& trace = day.battery_trace;
    const std::size_t stretch = std::max<std::size_t>(1, (trace.size() + rows_most - 1) / rows_most);
    page::HtmlTable table("", {{"time"},
                               {"battery", true},
                               {"terminals V", true},
                               {"current A", true},
                               {"available charge %", true},
                               {"total charge %", true},
                               {"temperature C", true}});
    for (std::size_t i = 0; i < trace.size(); i += stretch) {
        const auto first = trace.begin() + static_cast<std::ptrdiff_t>(i);
        const auto last = trace.begin() + static_cast<std::ptrdiff_t>(std::min(i + stretch, trace.size()));
        const day::BatterySample& s = *std::min_element(
            first, last, [](const auto& a, const auto& b) { return a.terminal_v < b.terminal_v; });
        table.row({base::clock_text(s.time_s), std::to_string(s.battery_number),
                   base::decimals(s.terminal_v, 2), base::decimals(s.current_a, 2),
                   base::decimals(100 * s.charge_available_fraction, 1),
                   base::decimals(100 * s.charge_total_fraction, 1), base::decimals(s.temperature_c, 1)});
    }
    const std::string summary =
        stretch == 1 ? std::string("Battery curve as a table")
                     : fmt::format(
                           "Battery curve as a table (of each {} samples the one with the lowest "
                           "voltage; all of them: battery.csv)",
                           stretch);
    return page::collapsible(summary, table.html());
}

std::string snr_table_html(const day::DayResult& day) {
    std::vector<page::HtmlTable::Column> columns{{"station"}, {"frequency", true}};
    for (const char* loop : {"A", "B"})
        for (const char* channel : {"Ex", "Ey", "Hx", "Hy", "Hz"})
            columns.push_back({fmt::format("{} {} dB", loop, channel), true});
    page::HtmlTable table("", std::move(columns));
    for (const reading::Reading& j : day.readings) {
        std::vector<std::string> cells{station_name(day, j.station_index),
                                       base::frequency_text(j.frequency_hz)};
        for (const reading::ChannelSnr& s : {j.snr_a, j.snr_b})
            for (const double ratio : {s.ex, s.ey, s.hx, s.hy, s.hz})
                cells.push_back(base::decibel_text(ratio));
        table.row(cells);
    }
    return table.html();
}

std::string soundings_table_html(const day::DayResult& day) {
    page::HtmlTable table("", {{"station"},
                               {"frequency", true},
                               {"plane wave ohm m", true},
                               {"deg", true},
                               {"xy ohm m", true},
                               {"sd %", true},
                               {"deg", true},
                               {"sd deg", true},
                               {"yx ohm m", true},
                               {"sd %", true},
                               {"deg", true},
                               {"sd deg", true},
                               {"verdict"}});
    for (const reading::Reading& j : day.readings)
        table.row({station_name(day, j.station_index), base::frequency_text(j.frequency_hz),
                   base::significant(j.plane_resistivity_ohm_m, 4), base::decimals(j.plane_phase_deg, 1),
                   base::significant(j.resistivity_xy_ohm_m, 4), percent(j.resistivity_sd_xy_percent),
                   base::decimals(j.phase_xy_deg, 1), base::significant(j.phase_sd_xy_deg, 2),
                   base::significant(j.resistivity_yx_ohm_m, 4), percent(j.resistivity_sd_yx_percent),
                   base::decimals(j.phase_yx_deg, 1), base::significant(j.phase_sd_yx_deg, 2),
                   name_of(j.verdict)});
    return table.html();
}

std::string bias_table_html(const day::DayResult& day) {
    page::HtmlTable table("", {{"station"},
                               {"frequency", true},
                               {"offset / skin depth", true},
                               {"bias xy %", true},
                               {"bias xy deg", true},
                               {"bias yx %", true},
                               {"bias yx deg", true}});
    for (const reading::Reading& j : day.readings)
        table.row({station_name(day, j.station_index), base::frequency_text(j.frequency_hz),
                   base::significant(j.offset_over_skin_depth, 3), percent(j.bias_xy_percent),
                   base::significant(j.bias_xy_deg, 3), percent(j.bias_yx_percent),
                   base::significant(j.bias_yx_deg, 3)});
    return table.html();
}

std::string receiver_crews_html(const day::DayResult& day) {
    if (day.receiver_crews.empty()) return "";
    page::HtmlTable table("Receiver crews",
                          {{"crew"}, {"people", true}, {"sensor sets", true}, {"stations"}, {"back at"}});
    for (std::size_t c = 0; c < day.receiver_crews.size(); ++c) {
        const day::CrewSummary& crew = day.receiver_crews[c];
        table.row({crew.name, std::to_string(crew.people), std::to_string(crew.sensor_sets),
                   station_names(day, stations_of_crew(day, static_cast<int>(c))), back_text(crew)});
    }
    return table.html();
}

std::string timeline_table_html(const day::DayResult& day) {
    page::HtmlTable table("", {{"from"}, {"to"}, {"lasts"}, {"activity"}, {"site"}, {"station"}, {"what"}});
    for (const day::TimelineEntry& e : day.timeline)
        table.row({base::clock_text(e.start_s), base::clock_text(e.end_s),
                   base::duration_text(e.end_s - e.start_s), std::string(name_of(e.activity)),
                   site_name(day, e.site_index), station_name(day, e.station_index), activity_text(e, day)},
                  std::holds_alternative<day::TransmitterStops>(e.activity) ? "stopped" : "");
    constexpr std::size_t open_most = 80;
    return table.row_count() <= open_most
               ? table.html()
               : page::collapsible(fmt::format("{} entries", table.row_count()), table.html());
}

std::string steps_table_html(const day::DayResult& day) {
    // Two tables, so that each fits a page.
    page::HtmlTable planned("As the table has them", {{"step", true},
                                                      {"loop"},
                                                      {"turns", true},
                                                      {"capacitor nF", true},
                                                      {"requested Hz", true},
                                                      {"actual Hz", true},
                                                      {"ppm", true},
                                                      {"cycles", true},
                                                      {"dwell s", true},
                                                      {"mains harmonic too near", true}});
    page::HtmlTable sent("As sent", {{"step", true},
                                     {"loop"},
                                     {"actual Hz", true},
                                     {"requested A", true},
                                     {"actual A", true},
                                     {"moment A m\u00b2", true},
                                     {"energy Wh", true},
                                     {"lowest V", true},
                                     {"winding C", true},
                                     {"limited by"}});
    for (const StepSummary& s : step_summaries(day)) {
        const std::string step = std::to_string(s.row->step_number), loop = name_of(s.row->loop),
                          hz = base::brief(s.row->frequency_hz, 8);
        planned.row({step, loop, std::to_string(s.row->turns),
                     s.row->capacitance_f > 0 ? base::brief(s.row->capacitance_f * 1e9, 4) : "none",
                     base::brief(s.row->requested_hz, 6), hz, base::decimals(s.row->error_ppm, 1),
                     std::to_string(s.row->cycles), base::brief(s.row->dwell_s, 4),
                     s.row->mains_clash_order > 0 ? std::to_string(s.row->mains_clash_order) : ""});
        sent.row({step, loop, hz, base::brief(s.row->target_current_a_peak, 3),
                  range_text(s.current_a_peak, 3), range_text(s.moment_a_m2_peak, 3),
                  base::significant(s.mean_energy_wh, 3), base::decimals(s.lowest_v, 2),
                  range_text(s.winding_c, 3), limits_text(s)});
    }
    return planned.html() + sent.html();
}

}  // namespace ampturn::report
