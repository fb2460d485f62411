#include "scheduler/sheet/field_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "embedded/sheet.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"
#include "scheduler/report/step_summary.hpp"
#include "scheduler/setup/planning_condition.hpp"
#include "scheduler/setup/safety_figure.hpp"
#include "scheduler/sheet/crew_sheet.hpp"
#include "scheduler/sheet/loop_sketch.hpp"
#include "scheduler/sheet/sheet_parts.hpp"

namespace ampturn::sheet {

namespace {

const char* shape_word(plan::LoopShape shape) {
    switch (shape) {
        case plan::LoopShape::square:
            return "square";
        case plan::LoopShape::rectangle:
            return "rectangle";
        case plan::LoopShape::rhombus:
            return "rhombus";
        case plan::LoopShape::triangle:
            return "triangle";
        case plan::LoopShape::regular_polygon:
            return "regular polygon";
        case plan::LoopShape::circle:
            return "circle";
        case plan::LoopShape::polygon:
            return "polygon";
    }
    return "";
}

std::string size_text(const plan::Loop& loop) {
    const double area_m2 = plan::outline_of(loop).area_m2();
    std::string out = shape_word(loop.shape);
    if (loop.side_m > 0) out += fmt::format(", side {:g} m", loop.side_m);
    if (loop.width_m > 0) out += fmt::format(", {:g} m wide, {:g} m high", loop.width_m, loop.height_m);
    if (loop.diameter_m > 0) out += fmt::format(", {:g} m across", loop.diameter_m);
    return fmt::format("{}, {} turns, {} m2, centre {:g} m above ground", out, loop.turns,
                       base::significant(area_m2, 3), loop.centre_height_m);
}

double around(double degrees) {
    const double turned = std::fmod(degrees, 360);
    return turned < 0 ? turned + 360 : turned;
}

std::string azimuth_text(double true_deg, double declination_deg) {
    return fmt::format("{} deg true, {} deg on the compass", base::decimals(around(true_deg), 1),
                       base::decimals(around(true_deg - declination_deg), 1));
}

std::string place_rows(const plan::Plan& plan, const day::SiteSummary& site) {
    const double declination = plan.survey.declination_deg;
    std::string out;
    if (std::isfinite(site.latitude_deg))
        out += row("WGS84", fmt::format("{:.6f}, {:.6f}", site.latitude_deg, site.longitude_deg));
    out += row("north, east",
               fmt::format("{} m, {} m", base::decimals(site.x_m, 0), base::decimals(site.y_m, 0)));
    out += row("loop A", size_text(plan.loop_a)) +
           row("normal of A", azimuth_text(site.loop_azimuth_a_deg, declination));
    out += row("loop B", size_text(plan.loop_b)) +
           row("normal of B", azimuth_text(site.loop_azimuth_b_deg, declination));
    out += row("declination", fmt::format("{:+g} deg", declination));
    return out + row("measured", "A ________  B ________ deg");
}

std::string table_rows(const plan::Plan& plan, const day::DayResult& day) {
    std::string out = row("name", plan.sweep.name.empty() ? "-" : plan.sweep.name) +
                      row("checksum", day.table_crc32) +
                      row("condition", setup::made_for_text(day.table_made_for));
    out += row("steps",
               fmt::format("{}, one sweep {}", day.table.size(), base::duration_text(day.table_duration_s)));
    if (!day.frequencies_hz.empty()) {
        const auto [low, high] = std::minmax_element(day.frequencies_hz.begin(), day.frequencies_hz.end());
        out += row("frequencies", fmt::format("{}, {} to {}", day.frequencies_hz.size(),
                                              base::frequency_text(*low), base::frequency_text(*high)));
    }
    return out;
}

std::string battery_rows(const day::DayResult& day) {
    std::string out;
    for (const day::BatteryUse& use : day.batteries)
        out += fmt::format("<tr><td>{}</td><td>{}</td><td>{}{}</td><td>____</td><td>____</td></tr>\n",
                           use.battery_number, base::clock_minutes_text(use.connected_s),
                           base::clock_minutes_text(use.disconnected_s), use.reached_cut_off ? " empty" : "");
    return out;
}

std::string start_mark_rows(const day::DayResult& day, int site_index) {
    std::string out;
    for (const day::SweepOutcome& sweep : day.sweeps) {
        if (sweep.site_index != site_index) continue;
        const bool sent = !sweep.steps.empty();
        std::string names, places;
        for (const int index : sweep.listeners) {
            const day::StationSummary& station = day.stations[static_cast<std::size_t>(index)];
            const char* gap = names.empty() ? "" : "<br>";
            names += gap + page::html_escaped(station.name);
            places += fmt::format("{}{}, {}", gap, base::decimals(station.offset_m, 0),
                                  base::decimals(station.bearing_deg, 0));
        }
        out += fmt::format("<tr><td>{}{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>\n", names,
                           sweep.sweep_number > 1 ? fmt::format(" ({})", sweep.sweep_number) : "", places,
                           sent ? base::clock_text(sweep.start_s) : "-",
                           sent ? utc_clock(sweep.start_s, day.utc_offset_h) : "-",
                           sweep.complete() ? "&#9744;" : page::html_escaped(report::stop_text(sweep)));
    }
    return out;
}

std::string step_rows(std::span<const report::StepSummary> steps) {
    std::string out =
        "<table>\n<tr><th class=\"n\">step</th><th class=\"n\">Hz</th><th class=\"n\">turns</th><th "
        "class=\"n\">nF</th><th class=\"n\">A</th><th class=\"n\">V</th><th>A read</th><th>V read</th><th></th></tr>\n";
    for (const report::StepSummary& s : steps)
        out += fmt::format(
            "<tr><td class=\"n\">{}{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td "
            "class=\"n\">{}</td><td class=\"n\">{}</td><td>____</td><td>____</td><td>&#9744;</td></tr>\n",
            s.row->step_number, name_of(s.row->loop), base::significant(s.row->frequency_hz, 5), s.row->turns,
            s.row->capacitance_f > 0 ? base::brief(s.row->capacitance_f * 1e9, 4) : "-",
            report::range_text(s.current_a_peak, 3), base::decimals(s.lowest_v, 1));
    return out + "</table>\n";
}

// The steps of a site on as many pages as they need, two columns each, the sketch on the first.
std::string step_pages(const plan::Plan& plan, const day::DayResult& day, int site_index) {
    constexpr std::size_t rows_below_sketch = 28, rows_alone = 44;
    const day::SiteSummary& site = day.sites[static_cast<std::size_t>(site_index)];
    const std::vector<report::StepSummary> steps = report::step_summaries(day, site_index);
    std::string out;
    std::size_t from = 0;
    do {
        const std::size_t most = 2 * (from == 0 ? rows_below_sketch : rows_alone);
        const std::size_t count = std::min(most, steps.size() - from), half = (count + 1) / 2;
        const std::span here = std::span(steps).subspan(from, count);
        out += base::filled_template(
            embedded::sheet::steps(),
            {{"survey", page::html_escaped(day.survey_name)},
             {"site", page::html_escaped(site.name)},
             {"part", count < steps.size() ? fmt::format(" {} to {}", from + 1, from + count) : ""},
             {"date", page::html_escaped(report::date_text(day))},
             {"invented", invented_mark(day)},
             {"banner", banner(day)},
             {"sketch", from == 0 ? loop_sketch_svg(plan, {.azimuth_a_deg = site.loop_azimuth_a_deg,
                                                           .azimuth_b_deg = site.loop_azimuth_b_deg,
                                                           .keep_out_m = site.keep_out_public_m})
                                  : ""},
             {"tables", "<div>" + step_rows(here.first(half)) + "</div><div>" +
                            step_rows(here.subspan(half)) + "</div>"}});
        from += count;
    } while (from < steps.size());
    return out;
}

std::string site_page(const plan::Plan& plan, const day::DayResult& day, int site_index) {
    const day::SiteSummary& site = day.sites[static_cast<std::size_t>(site_index)];
    std::string cautions;
    for (const std::string& caution : day.cautions)
        cautions += fmt::format("<li>! {}</li>\n", page::html_escaped(caution));
    return base::filled_template(
        embedded::sheet::site(),
        {{"survey", page::html_escaped(day.survey_name)},
         {"site", page::html_escaped(site.name)},
         {"date", page::html_escaped(report::date_text(day))},
         {"invented", invented_mark(day)},
         {"banner", banner(day)},
         {"keep_out_public_m", setup::safety_figure_text(site.keep_out_public_m)},
         {"keep_out_occupational_m", setup::safety_figure_text(site.keep_out_occupational_m)},
         {"place", place_rows(plan, site)},
         {"table", table_rows(plan, day)},
         {"batteries", battery_rows(day)},
         {"batteries_needed", report::batteries_to_carry(day)},
         {"batteries_carried", std::to_string(day.batteries_carried)},
         {"cut_off_v", base::decimals(day.battery_cut_off_v, 2)},
         {"start_marks", start_mark_rows(day, site_index)},
         {"cautions", cautions}});
}

/// A day of several leaves out the sites of the other days.
bool stood_at(const plan::Plan& plan, const day::DayResult& day, int site_index) {
    return plan.survey_days.empty() ||
           std::any_of(day.stations.begin(), day.stations.end(),
                       [&](const day::StationSummary& station) { return station.site_index == site_index; });
}

}  // namespace

std::string field_sheet_html(const plan::Plan& plan, const day::DayResult& day) {
    std::string sites;
    for (std::size_t i = 0; i < day.sites.size(); ++i) {
        if (!stood_at(plan, day, static_cast<int>(i))) continue;
        sites += site_page(plan, day, static_cast<int>(i));
        sites += step_pages(plan, day, static_cast<int>(i));
    }
    return base::filled_template(embedded::sheet::frame(), {{"version", std::string(base::version())},
                                                            {"git_hash", std::string(base::git_hash())},
                                                            {"survey", page::html_escaped(day.survey_name)},
                                                            {"style", std::string(embedded::sheet::style())},
                                                            {"sites", sites + crew_pages(plan, day)}});
}

}  // namespace ampturn::sheet
