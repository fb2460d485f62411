#include "scheduler/reach/reach_output.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "embedded/reach_page.hpp"
#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/reach/reach_json.hpp"

namespace ampturn::reach {

namespace {

using Json = nlohmann::ordered_json;

std::string metres(double m) { return base::significant(m, 3); }

std::string intervals_text(const std::vector<OffsetInterval>& intervals, const Reach& reach) {
    std::string out;
    for (const OffsetInterval& i : intervals)
        out += fmt::format("{}{}-{}{}", out.empty() ? "" : ", ", metres(i.from_m), metres(i.to_m),
                           i.to_m >= reach.offset_max_m ? "+" : "");
    return out.empty() ? "none" : out;
}

std::string sector_text(const Sector& s) {
    std::string out = fmt::format("{:g}-{:g}", s.from_deg, s.to_deg);
    if (s.also_opposite) out += fmt::format(", {:g}-{:g}", s.from_deg + 180, s.to_deg + 180);
    return out;
}

/// At which hours the natural field is quiet enough, or that it never is.
std::string hours_text(const Remedy& o, const Reach& reach) {
    std::string levels;
    for (const plan::NaturalNoise level : o.natural_levels)
        levels += fmt::format("{}{}", levels.empty() ? "" : " or ", name_of(level));
    if (o.hours.empty())
        return fmt::format("natural field of {}, {}", levels,
                           reach.noise_by_hour ? "which the plan expects at no hour"
                                               : "but the plan's is the same at every hour");
    const bool at_work = std::any_of(o.hours.begin(), o.hours.end(), [&](int hour) {
        for (const int of_day : {hour, hour + 24})  // a night's end lies on the next day
            if (3600 * (of_day + 1) > reach.day_start_s && 3600 * of_day < reach.day_end_s) return true;
        return false;
    });
    return fmt::format("record from {} local time{}, natural field of {}", base::hour_ranges_text(o.hours),
                       at_work ? "" : " (outside the working day)", levels);
}

}  // namespace

std::string opening_text(const ReachCell& cell, const Reach& reach, const ReachFrequency& f) {
    if (!cell.opening) return "";
    const Remedy& o = *cell.opening;
    std::string out;
    const auto add = [&](const std::string& words) { out += (out.empty() ? "" : "; or ") + words; };
    if (std::isfinite(o.moment_factor)) {
        add(fmt::format("{} times the moment at {} m", base::significant(o.moment_factor, 2),
                        metres(o.moment_at_m)));
        add(fmt::format("dwell {} instead of {} with each loop",
                        base::duration_text(o.dwell_factor * f.dwell_a_s), base::duration_text(f.dwell_a_s)));
    }
    if (std::isfinite(o.tolerance_factor))
        add(fmt::format("accept a bias of {} % and {} deg at {} m",
                        base::significant(o.tolerance_factor * reach.targets.rho_bias_percent, 2),
                        base::significant(o.tolerance_factor * reach.targets.phase_bias_deg, 2),
                        metres(o.tolerance_at_m)));
    if (!o.natural_levels.empty()) add(hours_text(o, reach));
    return out.empty() ? fmt::format("nowhere far field up to {} m and nowhere enough signal",
                                     metres(reach.offset_max_m))
                       : out;
}

std::string reach_text(const Reach& reach, bool colour) {
    std::string out = fmt::format("{}{}: how far a station may be from site {}\n", reach.survey_name,
                                  reach.invented ? " (INVENTED SCENARIO)" : "", reach.site_name);
    out += base::wrapped(
        fmt::format("Plane: bias within {} % and {} deg. "
                    "Strong: error bars within {} % and {} deg with the dwells of the table, {}, "
                    "natural field of {:02}:00 as noise. Offsets {} to {} m, + beyond. Usable: both.",
                    base::brief(reach.targets.rho_bias_percent, 3),
                    base::brief(reach.targets.phase_bias_deg, 3),
                    base::brief(reach.targets.rho_error_percent, 3),
                    base::brief(reach.targets.phase_error_deg, 3), setup::made_for_text(reach.table_made_for),
                    reach.hour, metres(reach.offset_min_m), metres(reach.offset_max_m)),
        100, 2);
    out += colour ? "\n\x1b[1mAll directions\x1b[0m\n" : "\nAll directions\n";
    base::TextTable all(
        {{"Hz", base::CellSide::right},
         {fmt::format("{:g} skin depths", reach.targets.rule_of_thumb_skin_depths), base::CellSide::right},
         {"far field m"},
         {"enough signal m"},
         {"usable m"}});
    for (const ReachFrequency& f : reach.frequencies)
        all.row(
            {{base::brief(f.frequency_hz, 5)},
             {metres(f.rule_of_thumb_m) + " m"},
             {intervals_text(f.all_directions.far_field, reach)},
             {intervals_text(f.all_directions.sufficient_snr, reach)},
             {intervals_text(f.all_directions.usable, reach), f.all_directions.usable.empty() ? 31 : 32}});
    out += all.text(100, 2, colour);

    out += colour ? "\n\x1b[1mUsable by direction\x1b[0m\n" : "\nUsable by direction\n";
    std::vector<base::TextColumn> columns{{"Hz", base::CellSide::right}};
    for (const Sector& s : reach.sectors)
        columns.push_back({fmt::format("{:g}-{:g} deg", s.from_deg, s.to_deg)});
    base::TextTable sectors(std::move(columns));
    for (const ReachFrequency& f : reach.frequencies) {
        std::vector<base::TextCell> cells{{base::brief(f.frequency_hz, 5)}};
        for (const ReachCell& cell : f.sectors)
            cells.push_back({intervals_text(cell.usable, reach), cell.usable.empty() ? 31 : 32});
        sectors.row(std::move(cells));
    }
    out += sectors.text(100, 2, colour);
    if (reach.sectors[0].also_opposite) out += "  Each also for the opposite direction.\n";

    std::string shut;
    for (const ReachFrequency& f : reach.frequencies)
        if (f.all_directions.opening)
            shut += base::wrapped_item(fmt::format("{:>9}  ", base::frequency_text(f.frequency_hz)),
                                       opening_text(f.all_directions, reach, f), 100, 2);
    if (!shut.empty())
        out += (colour ? "\n\x1b[1mNo window in all directions: what would open one\x1b[0m\n"
                       : "\nNo window in all directions: what would open one\n") +
               shut;

    if (!reach.stations.empty()) {
        out += colour ? "\n\x1b[1mStations of this site\x1b[0m\n" : "\nStations of this site\n";
        base::TextTable stations({{"station"},
                                  {"m", base::CellSide::right},
                                  {"deg", base::CellSide::right},
                                  {"frequencies inside their window, Hz"}});
        for (const ReachStation& s : reach.stations) {
            std::string inside;
            for (std::size_t f = 0; f < reach.frequencies.size(); ++f)
                if (s.in_window[f])
                    inside +=
                        (inside.empty() ? "" : ", ") + base::brief(reach.frequencies[f].frequency_hz, 5);
            stations.row({{s.name},
                          {metres(s.offset_m)},
                          {base::decimals(s.bearing_deg, 0)},
                          {inside.empty() ? "none" : inside}});
        }
        out += stations.text(100, 2, colour);
    }
    out +=
        "  A station on the edge of its sector may be better off than the whole sector; "
        "`ampturn day` judges each.\n";
    return out;
}

std::vector<base::NamedText> reach_tables(const Reach& reach) {
    base::CsvTable summary({"frequency_hz", "sector_from_deg", "sector_to_deg", "far_field_from_m",
                            "sufficient_snr_to_m", "usable", "rule_of_thumb_m", "skin_depth_m",
                            "needed_moment_factor", "needed_dwell_factor", "needed_tolerance_factor",
                            "what_would_open_it"});
    base::CsvTable intervals(
        {"frequency_hz", "sector_from_deg", "sector_to_deg", "kind", "from_m", "to_m", "reaches_far_end"});
    const auto add = [&](const ReachFrequency& f, double from_deg, double to_deg, const ReachCell& cell) {
        constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
        summary.cell(f.frequency_hz).cell(from_deg).cell(to_deg);
        summary.cell(far_field_from_m(cell, reach.offset_max_m).value_or(nothing))
            .cell(sufficient_snr_to_m(cell).value_or(nothing));
        summary.cell(!cell.usable.empty()).cell(f.rule_of_thumb_m).cell(f.skin_depth_m);
        summary.cell(cell.opening ? cell.opening->moment_factor : nothing);
        summary.cell(cell.opening ? cell.opening->dwell_factor : nothing);
        summary.cell(cell.opening ? cell.opening->tolerance_factor : nothing);
        summary.cell(opening_text(cell, reach, f)).end_row();
        for (const auto& [kind, list] : {std::pair{"far_field", &cell.far_field},
                                         {"sufficient_snr", &cell.sufficient_snr},
                                         {"usable", &cell.usable}})
            for (const OffsetInterval& i : *list) {
                intervals.cell(f.frequency_hz)
                    .cell(from_deg)
                    .cell(to_deg)
                    .cell(kind)
                    .cell(i.from_m)
                    .cell(i.to_m);
                intervals.cell(i.to_m >= reach.offset_max_m).end_row();
            }
    };
    for (const ReachFrequency& f : reach.frequencies) {
        add(f, 0, 360, f.all_directions);
        for (std::size_t s = 0; s < reach.sectors.size(); ++s)
            add(f, reach.sectors[s].from_deg, reach.sectors[s].to_deg, f.sectors[s]);
    }
    return {{"reach.csv", summary.text()}, {"reach_intervals.csv", intervals.text()}};
}

namespace {

std::string table_of_all_directions(const Reach& reach) {
    page::HtmlTable all("All directions",
                        {{"frequency", true},
                         {"skin depth m", true},
                         {fmt::format("{:g} skin depths m", reach.targets.rule_of_thumb_skin_depths), true},
                         {"far field m"},
                         {"enough signal m"},
                         {"usable m"},
                         {"natural field alone: sd %", true},
                         {"what would open a window"}});
    for (const ReachFrequency& f : reach.frequencies)
        all.row({base::frequency_text(f.frequency_hz), metres(f.skin_depth_m), metres(f.rule_of_thumb_m),
                 intervals_text(f.all_directions.far_field, reach),
                 intervals_text(f.all_directions.sufficient_snr, reach),
                 intervals_text(f.all_directions.usable, reach),
                 base::significant(f.natural_signal_sd_percent, 2),
                 opening_text(f.all_directions, reach, f)});
    return all.html();
}

std::string table_by_direction(const Reach& reach) {
    page::HtmlTable sectors("", {{"frequency", true},
                                 {"direction deg"},
                                 {"far field m"},
                                 {"enough signal m"},
                                 {"usable m"},
                                 {"what would open a window"}});
    for (const ReachFrequency& f : reach.frequencies)
        for (std::size_t s = 0; s < reach.sectors.size(); ++s)
            sectors.row({base::frequency_text(f.frequency_hz), sector_text(reach.sectors[s]),
                         intervals_text(f.sectors[s].far_field, reach),
                         intervals_text(f.sectors[s].sufficient_snr, reach),
                         intervals_text(f.sectors[s].usable, reach), opening_text(f.sectors[s], reach, f)});
    return sectors.html();
}

std::string table_of_stations(const Reach& reach) {
    page::HtmlTable stations("", {{"station"},
                                  {"offset m", true},
                                  {"bearing deg", true},
                                  {"direction deg"},
                                  {"inside the window at"}});
    for (const ReachStation& s : reach.stations) {
        std::string inside;
        for (std::size_t f = 0; f < reach.frequencies.size(); ++f)
            if (s.in_window[f])
                inside +=
                    (inside.empty() ? "" : ", ") + base::frequency_text(reach.frequencies[f].frequency_hz);
        stations.row({s.name, metres(s.offset_m), base::decimals(s.bearing_deg, 1),
                      sector_text(reach.sectors[static_cast<std::size_t>(s.sector_index)]),
                      inside.empty() ? "none" : inside});
    }
    return stations.html();
}

}  // namespace

std::string reach_html(const Reach& reach) {
    const std::string body =
        base::filled_template(embedded::reach_page::reach_body(),
                              {{"site", page::html_escaped(reach.site_name)},
                               {"invented", reach.invented ? page::invented_line : ""},
                               {"survey", page::html_escaped(reach.survey_name)},
                               {"bias_percent", base::brief(reach.targets.rho_bias_percent, 3)},
                               {"bias_deg", base::brief(reach.targets.phase_bias_deg, 3)},
                               {"error_percent", base::brief(reach.targets.rho_error_percent, 3)},
                               {"error_deg", base::brief(reach.targets.phase_error_deg, 3)},
                               {"made_for", setup::made_for_text(reach.table_made_for)},
                               {"hour", fmt::format("{:02}", reach.hour)},
                               {"all_directions", table_of_all_directions(reach)},
                               {"by_direction", page::collapsible("By direction", table_by_direction(reach))},
                               {"stations", table_of_stations(reach)},
                               {"offset_min_m", metres(reach.offset_min_m)},
                               {"offset_max_m", metres(reach.offset_max_m)},
                               {"version", std::string(base::version())},
                               {"git_hash", std::string(base::git_hash())}});
    return page::html_page({.title = "Reach of site " + reach.site_name,
                            .body = body,
                            .data_json = base::json_text(Json::parse(reach_json_text(reach)), -1),
                            .charts = embedded::reach_page::reach()});
}

}  // namespace ampturn::reach
