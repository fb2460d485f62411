#include "scheduler/reach/stand_search_output.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/plan/station_geometry.hpp"
#include "scheduler/reach/stand_search_page.hpp"
#include "scheduler/reach/waypoints.hpp"

namespace ampturn::plan {

std::string stand_search_text(const StandSearch& search, bool colour) {
    std::string out = wrapped(
        fmt::format("{}{}: stands scored by how many of {} required readings would be plane and strong "
                    "enough from there alone. Access, slope and permission are not looked at.",
                    search.survey_name, search.invented ? " (INVENTED SCENARIO)" : "", search.pair_count),
        100, 0);
    TextTable table({{"stand"},
                     {"usable", CellSide::right},
                     {"plane", CellSide::right},
                     {"strong", CellSide::right},
                     {"nearest station m", CellSide::right},
                     {"north m", CellSide::right},
                     {"east m", CellSide::right},
                     {"latitude", CellSide::right},
                     {"longitude", CellSide::right}});
    constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
    const auto add = [&](const StandCandidate& c, const char* mark) {
        table.row({{c.name + mark},
                   {std::to_string(c.usable_count)},
                   {std::to_string(c.plane_count)},
                   {std::to_string(c.strong_count)},
                   {decimals(c.nearest_station_m, 0)},
                   {decimals(c.place.x_m, 0)},
                   {decimals(c.place.y_m, 0)},
                   {decimals(c.place.latitude_deg.value_or(nothing), 5)},
                   {decimals(c.place.longitude_deg.value_or(nothing), 5)}});
    };
    for (const StandCandidate& c : search.planned) add(c, " (planned)");
    for (std::size_t i = 0; i < search.candidates.size() && i < 10; ++i) add(search.candidates[i], "");
    out += table.text(100, 2, colour);
    if (search.candidates.size() > 10) out += fmt::format("  and {} more\n", search.candidates.size() - 10);
    return out;
}

std::vector<NamedText> stand_search_files(const Plan& plan, const StandSearch& search) {
    CsvTable csv({"name", "planned", "x_m", "y_m", "latitude_deg", "longitude_deg", "usable_count",
                  "plane_count", "strong_count", "pair_count", "nearest_station_m"});
    std::vector<Feature> features;
    std::vector<Waypoint> points, route;
    const auto geographic = [](const std::string& name, const Place& p) {
        return Waypoint{name, p.latitude_deg.value_or(0), p.longitude_deg.value_or(0)};
    };
    const auto add = [&](const StandCandidate& c, bool planned) {
        constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
        csv.cell(c.name)
            .cell(planned)
            .cell(c.place.x_m)
            .cell(c.place.y_m)
            .cell(c.place.latitude_deg.value_or(nothing));
        csv.cell(c.place.longitude_deg.value_or(nothing))
            .cell(c.usable_count)
            .cell(c.plane_count)
            .cell(c.strong_count);
        csv.cell(search.pair_count).cell(c.nearest_station_m).end_row();
        if (is_geographic(c.place))
            features.push_back({geographic(c.name, c.place),
                                {{"kind", planned ? "planned_stand" : "candidate_stand"},
                                 {"usable_count", c.usable_count},
                                 {"plane_count", c.plane_count},
                                 {"strong_count", c.strong_count},
                                 {"pair_count", search.pair_count}}});
    };
    for (const StandCandidate& c : search.planned) add(c, true);
    for (const StandCandidate& c : search.candidates) add(c, false);
    for (const Station& s : plan.stations)
        if (is_geographic(s.place)) {
            features.push_back(
                {geographic(s.name, s.place),
                 {{"kind", "station"}, {"stand", s.stand}, {"offset_m", std::round(s.offset_m)}}});
            points.push_back(geographic(s.name, s.place));
            route.push_back(points.back());
        }
    for (const Stand& s : plan.stands)
        if (is_geographic(s.place)) points.push_back(geographic(s.name, s.place));
    if (!search.candidates.empty() && is_geographic(search.candidates[0].place))
        points.push_back(geographic("best: " + search.candidates[0].name, search.candidates[0].place));
    std::vector<NamedText> out{{"stand_candidates.csv", csv.text()},
                               {"stand_search.json", stand_search_json_text(search)},
                               {"stands.html", stand_search_html(search)}};
    if (!features.empty()) {
        out.push_back({"stands.geojson", geojson_text(features)});
        out.push_back({"waypoints.gpx", gpx_text(points, plan.survey.name, route)});
    }
    return out;
}

}  // namespace ampturn::plan
