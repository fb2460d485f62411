#include "scheduler/report/field_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "embedded/report.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/report/day_names.hpp"

namespace ampturn::plan {

namespace {

std::string row(const std::string& name, const std::string& value) {
    return fmt::format("<tr><th>{}</th><td>{}</td></tr>\n", html_escaped(name), html_escaped(value));
}

const char* shape_word(LoopShape shape) {
    switch (shape) {
        case LoopShape::square:
            return "square";
        case LoopShape::rectangle:
            return "rectangle";
        case LoopShape::rhombus:
            return "rhombus";
        case LoopShape::triangle:
            return "triangle";
        case LoopShape::regular_polygon:
            return "regular polygon";
        case LoopShape::circle:
            return "circle";
        case LoopShape::polygon:
            return "polygon";
    }
    return "";
}

std::string size_text(const Loop& loop) {
    const double area_m2 = outline_of(loop).area_m2();
    std::string out = shape_word(loop.shape);
    if (loop.side_m > 0) out += fmt::format(", side {:g} m", loop.side_m);
    if (loop.width_m > 0) out += fmt::format(", {:g} m wide, {:g} m high", loop.width_m, loop.height_m);
    if (loop.diameter_m > 0) out += fmt::format(", {:g} m across", loop.diameter_m);
    return fmt::format("{}, {} turns, {} m2, centre {:g} m above ground", out, loop.turns,
                       significant(area_m2, 3), loop.centre_height_m);
}

double around(double degrees) {
    const double turned = std::fmod(degrees, 360);
    return turned < 0 ? turned + 360 : turned;
}

std::string azimuth_text(double true_deg, double declination_deg) {
    return fmt::format("{} deg true, {} deg on the compass", decimals(around(true_deg), 1),
                       decimals(around(true_deg - declination_deg), 1));
}

std::string utc_clock(double local_s, double utc_offset_h) {
    const double utc_s = std::fmod(local_s - 3600 * utc_offset_h + 2 * 86400, 86400);
    return clock_text(utc_s);
}

std::string metres_up(double m) { return decimals(std::ceil(10 * m) / 10, 1); }

std::string checklist() {
    std::string out =
        "<h2>Read aloud, answered by radio, before each start: nothing is touched</h2>\n<ul "
        "class=\"check\">\n";
    for (const char* line :
         {"Ring watched, nobody inside; implant wearers away altogether",
          "Wind, thunder, lines overhead: still within the limits",
          "Loops, plugs and guys looked at from outside the ring",
          "Battery lid on, vents free, negative went on last",
          "Table name and checksum read back by the receiver", "Clock locked; start mark said and repeated",
          "Receiver says ready; abort word known to all",
          "Arm, warn, send; after: standby lamp seen before anyone goes near"})
        out += fmt::format("<li>{}</li>\n", line);
    return out + "</ul>\n";
}

std::string stand_page(const Plan& plan, const DayResult& day, int stand_index) {
    const auto index = static_cast<std::size_t>(stand_index);
    const StandSummary& stand = day.stands[index];
    const double declination = plan.survey.declination_deg;
    std::string out =
        fmt::format("<section>\n<header><h1>{}: stand {}</h1><span>{}{}</span></header>\n",
                    html_escaped(day.survey_name), html_escaped(stand.name), html_escaped(date_text(day)),
                    day.invented ? " <span class=\"invented\">INVENTED SCENARIO</span>" : "");
    out += fmt::format(
        "<div class=\"keep\"><strong>Keep everybody {} m from any wire while sending</strong> (instructed "
        "workers {} m). "
        "Energised loops, capacitors, batteries: local rules and licensed practice decide.</div>\n",
        metres_up(stand.keep_out_public_m), metres_up(stand.keep_out_occupational_m));
    out += "<div class=\"columns\"><div>\n<h2>Stand</h2>\n<table>\n";
    if (std::isfinite(stand.latitude_deg))
        out += row("WGS84", fmt::format("{:.6f}, {:.6f}", stand.latitude_deg, stand.longitude_deg));
    out += row("north, east", fmt::format("{} m, {} m", decimals(stand.x_m, 0), decimals(stand.y_m, 0)));
    out += row("loop A", size_text(plan.loop_a)) +
           row("normal of A", azimuth_text(stand.loop_azimuth_a_deg, declination));
    out += row("loop B", size_text(plan.loop_b)) +
           row("normal of B", azimuth_text(stand.loop_azimuth_b_deg, declination));
    out += row("declination", fmt::format("{:+g} deg", declination));
    out += row("measured", "A ________  B ________ deg");
    out += "</table>\n<h2>Table</h2>\n<table>\n";
    out += row("name", plan.sweep.name.empty() ? "-" : plan.sweep.name) + row("checksum", day.table_crc32);
    out +=
        row("steps", fmt::format("{}, one sweep {}", day.table.size(), duration_text(day.table_duration_s)));
    if (!day.frequencies_hz.empty()) {
        const auto [low, high] = std::minmax_element(day.frequencies_hz.begin(), day.frequencies_hz.end());
        out += row("frequencies", fmt::format("{}, {} to {}", day.frequencies_hz.size(), frequency_text(*low),
                                              frequency_text(*high)));
    }
    out +=
        "</table>\n<h2>Batteries</h2>\n<table>\n<tr><th>set</th><th>on</th><th>off</th><th>V rest</th><th>V "
        "load</th></tr>\n";
    for (const BatteryUse& use : day.batteries)
        out += fmt::format("<tr><td>{}</td><td>{}</td><td>{}{}</td><td>____</td><td>____</td></tr>\n",
                           use.battery_number, clock_minutes_text(use.connected_s),
                           clock_minutes_text(use.disconnected_s), use.reached_cut_off ? " empty" : "");
    out += fmt::format("</table>\n<p>Carry {}, planned {}. Cut-off {} V at the terminals.</p>\n",
                       day.batteries_needed, day.batteries_carried, decimals(day.battery_cut_off_v, 2));
    out +=
        "</div><div>\n<h2>Start marks</h2>\n<table>\n<tr><th>station</th><th>m, "
        "deg</th><th>local</th><th>UTC</th><th>sent</th></tr>\n";
    for (const SweepOutcome& sweep : day.sweeps) {
        if (sweep.stand_index != stand_index || sweep.station_index < 0) continue;
        const StationSummary& station = day.stations[static_cast<std::size_t>(sweep.station_index)];
        const bool sent = !sweep.steps.empty();
        out += fmt::format("<tr><td>{}{}</td><td>{}, {}</td><td>{}</td><td>{}</td><td>{}</td></tr>\n",
                           html_escaped(station.name),
                           sweep.sweep_number > 1 ? fmt::format(" ({})", sweep.sweep_number) : "",
                           decimals(station.offset_m, 0), decimals(station.bearing_deg, 0),
                           sent ? clock_text(sweep.start_s) : "-",
                           sent ? utc_clock(sweep.start_s, day.utc_offset_h) : "-",
                           sweep.complete ? "&#9744;" : html_escaped(sweep.stopped_by));
    }
    out += "</table>\n<p>As planned by the simulated day; the day decides.</p>\n</div></div>\n";
    out += checklist() + "<h2>Cautions</h2>\n<ul class=\"cautions\">\n";
    for (const std::string& caution : day.cautions)
        out += fmt::format("<li>! {}</li>\n", html_escaped(caution));
    out += "</ul>\n<h2>Remarks: trips, repeats, weather, noise, who</h2>\n<div class=\"remarks\"></div>\n";
    return out + "</section>\n";
}

}  // namespace

std::string field_sheet_html(const Plan& plan, const DayResult& day) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
        "content=\"width=device-width, initial-scale=1\">\n<meta http-equiv=\"Content-Security-Policy\" "
        "content=\"default-src "
        "'none'; style-src 'unsafe-inline'; img-src data:\">\n<meta name=\"generator\" content=\"ampturn {} "
        "({})\">\n<link "
        "rel=\"icon\" href=\"data:,\">\n<title>{}: field sheet</title>\n<style>\n",
        version(), git_hash(), html_escaped(day.survey_name));
    out += embedded::report::sheet_style();
    out += "</style>\n</head>\n<body>\n";
    for (std::size_t i = 0; i < day.stands.size(); ++i) out += stand_page(plan, day, static_cast<int>(i));
    return out + "</body>\n</html>\n";
}

}  // namespace ampturn::plan
