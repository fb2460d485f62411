#include "scheduler/reach/site_search_output.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/plan/station_geometry.hpp"
#include "scheduler/reach/site_search_page.hpp"
#include "scheduler/reach/waypoints.hpp"

namespace ampturn::reach {

std::string site_search_text(const SiteSearch& search, bool colour) {
    std::string out = base::wrapped(
        fmt::format(
            "{}{}: sites scored by how many of {} required readings would lie in the far field with enough "
            "signal from there alone. Water and permission are not looked at; areas, slopes and walks as far as the plan gives them.",
            search.survey_name, search.invented ? " (INVENTED SCENARIO)" : "", search.reading_count),
        100, 0);
    base::TextTable table({{"site"},
                           {"usable", base::CellSide::right},
                           {"far field", base::CellSide::right},
                           {"enough signal", base::CellSide::right},
                           {"nearest station m", base::CellSide::right},
                           {"north m", base::CellSide::right},
                           {"east m", base::CellSide::right},
                           {"latitude", base::CellSide::right},
                           {"longitude", base::CellSide::right}});
    constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
    const auto add = [&](const SiteCandidate& c, const char* mark) {
        table.row({{c.name + mark},
                   {std::to_string(c.usable_count)},
                   {std::to_string(c.far_field_count)},
                   {std::to_string(c.sufficient_snr_count)},
                   {base::decimals(c.nearest_station_m, 0)},
                   {base::decimals(c.place.x_m, 0)},
                   {base::decimals(c.place.y_m, 0)},
                   {base::decimals(c.place.latitude_deg.value_or(nothing), 5)},
                   {base::decimals(c.place.longitude_deg.value_or(nothing), 5)}});
    };
    for (const SiteCandidate& c : search.planned) add(c, " (planned)");
    for (std::size_t i = 0; i < search.candidates.size() && i < 10; ++i) add(search.candidates[i], "");
    out += table.text(100, 2, colour);
    if (search.candidates.size() > 10) out += fmt::format("  and {} more\n", search.candidates.size() - 10);
    return out;
}

std::vector<base::NamedText> site_search_files(const plan::Plan& plan, const SiteSearch& search) {
    base::CsvTable csv({"name", "planned", "x_m", "y_m", "latitude_deg", "longitude_deg", "usable_count",
                        "far_field_count", "sufficient_snr_count", "reading_count", "nearest_station_m"});
    std::vector<Feature> features;
    std::vector<Waypoint> points, route;
    const auto geographic = [](const std::string& name, const plan::Place& p) {
        return Waypoint{name, p.latitude_deg.value_or(0), p.longitude_deg.value_or(0)};
    };
    const auto add = [&](const SiteCandidate& c, bool planned) {
        constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
        csv.cell(c.name)
            .cell(planned)
            .cell(c.place.x_m)
            .cell(c.place.y_m)
            .cell(c.place.latitude_deg.value_or(nothing));
        csv.cell(c.place.longitude_deg.value_or(nothing))
            .cell(c.usable_count)
            .cell(c.far_field_count)
            .cell(c.sufficient_snr_count);
        csv.cell(search.reading_count).cell(c.nearest_station_m).end_row();
        if (plan::is_geographic(c.place))
            features.push_back({geographic(c.name, c.place),
                                {{"kind", planned ? "planned_site" : "candidate_site"},
                                 {"usable_count", c.usable_count},
                                 {"far_field_count", c.far_field_count},
                                 {"sufficient_snr_count", c.sufficient_snr_count},
                                 {"reading_count", search.reading_count}}});
    };
    for (const SiteCandidate& c : search.planned) add(c, true);
    for (const SiteCandidate& c : search.candidates) add(c, false);
    for (const plan::Station& s : plan.stations)
        if (plan::is_geographic(s.place)) {
            features.push_back(
                {geographic(s.name, s.place),
                 {{"kind", "station"}, {"site", s.site}, {"offset_m", std::round(s.offset_m)}}});
            points.push_back(geographic(s.name, s.place));
            route.push_back(points.back());
        }
    for (const plan::Site& s : plan.sites)
        if (plan::is_geographic(s.place)) points.push_back(geographic(s.name, s.place));
    if (!search.candidates.empty() && plan::is_geographic(search.candidates[0].place))
        points.push_back(geographic("best: " + search.candidates[0].name, search.candidates[0].place));
    std::vector<base::NamedText> out{{"site_candidates.csv", csv.text()},
                                     {"site_search.json", site_search_json_text(search)},
                                     {"sites.html", site_search_html(search)}};
    if (!features.empty()) {
        out.push_back({"sites.geojson", geojson_text(features)});
        out.push_back({"waypoints.gpx", gpx_text(points, plan.survey.name, route)});
    }
    return out;
}

}  // namespace ampturn::reach
